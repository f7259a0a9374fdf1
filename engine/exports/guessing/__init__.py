"""What an export says, guessed from its words, its arithmetic and its layout.

vocabulary   words of seven languages by meaning      blocks      where tables are in a sheet
texts        one text to what it says of a line       columns     what each column of a table is
sources      columns of lengths by arithmetic         rows        what rows are called
collisions   who claims the same lines                questions   what only a person can know
understand   all of it for a whole file               tables_text the tables of the map
"""
