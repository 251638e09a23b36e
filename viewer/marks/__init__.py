"""What is drawn of findings, alike in the scene, in pictures and on paper. Nothing here needs a screen.

colours, forms    their colours and the forms about their places
"""
