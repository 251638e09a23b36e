"""In which unit the numbers of a drawing or a plan really are."""
