"""Batch: many jobs to many reports, where no job stops another.

    jobs          which files of a folder are jobs
    run           hands out tasks, puts reports on disk, gives the result of each; and what goes
                  between it and any crew of workers
    worker        what runs in a worker process: one job to the bytes of its report; and such
                  processes of this machine, each within limits of time and memory
    cluster       the workers of a Dask cluster that is there already, to which a job travels with
                  all its files
    log           `batch.jsonl`: one line for each finished job, which a later run resumes from
    fingerprint   what a report depends on besides its job

Only the process that runs the batch writes reports; a worker that is stopped leaves nothing behind.
"""
