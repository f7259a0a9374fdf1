"""Preview: a page on this machine that shows a report while its job and its theme are written.

    choices       what can be looked at: jobs, themes, languages, outputs, each by a plain number
    session       makes what is looked at, keeps the last good report, reports faults and times
    watch         rings when a file changes that a report is made of
    site          the addresses, each behind a token, and nothing for anybody else; all that the
                  page receives, as plain data
    server        the one socket, on loopback

Nothing is written to disk, and no path leaves the process: the page knows numbers alone.
"""
