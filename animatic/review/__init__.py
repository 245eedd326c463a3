"""Looking: one page with the film, its shots, its pace, its findings, and room for notes.

It comes after film and sheets, since it shows what both of them make.
"""
