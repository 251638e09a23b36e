"""What is drawn of findings, alike in the scene, in pictures and on paper. Nothing here needs a screen.

colours, forms           their colours and the forms about their places
projection               marks laid on a plane
arrow, dimension, hatch  what is drawn of them there
placing                  places for words where they cover nothing
measured                 what they measure, in words
"""
