"""The frozen types that the stages hand over, one file per noun."""
