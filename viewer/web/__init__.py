"""The boat as one page that a browser opens without a network.

boat             what a page is made of
packing          the bodies as a short run of bytes
content          what the page knows of the boat; steps and findings have their own
page             the file, of these and of page.html, page.css and the scripts beside it

Of the scripts algebra, bodies, canvas, camera and overlay make the picture, stage knows what is in hand, seen what that
makes of the picture, panel and making what is said of it; main puts them together.
"""
