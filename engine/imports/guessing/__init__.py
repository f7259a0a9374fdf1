"""What an export says, guessed from its words, its arithmetic and its layout.

vocabulary   words of seven languages by meaning      blocks      where tables are in a sheet
texts        one text to what it says of a line       columns     what each column of a table is
sources      columns of lengths, and who collides     questions   what only a person can know
"""
