"""The assembly for other programs.

solids          every solid of a boat, exact and closed, with what is known of it
meshes          GLB and STL, through trimesh
print_package   3MF; wants no extra
"""
