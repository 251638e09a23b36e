"""The boat in 3D: one scene behind the window and the pictures.

bodies      every solid of an assembly as triangles and drawn edges
looks       colours and forms, one table
signs       what is drawn of a finding besides its bodies; finding_signs has it by check
scene       puts bodies and findings into a plotter, and changes what is seen of them
"""
