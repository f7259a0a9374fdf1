"""What an export says, guessed from its words, its arithmetic and its layout.

vocabulary   words of seven languages by meaning     blocks     where tables are in a sheet
texts        one text to what it says of a line      columns    what each column of a table is
sources      columns of lengths by arithmetic        collisions who claims the same lines
offsets      numbers against the line set: tip, riser
beside       wing, date, remarks: told, no values
understand   all of it for a whole file              questions  what only a person can know
guess_format how the file is written down            map_text   what was understood, as a map
propose      from bytes to a map, and its reading    kept_maps  a map for the next such file
"""
