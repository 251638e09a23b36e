"""The builder's book: one HTML file, a chapter a module; `book` puts them together.

markup, style      what is written is escaped; how it looks on a phone and on paper
views, gussets, joint_section, order, setting_up_plan   drawings
boat, ... stock    chapters
"""
