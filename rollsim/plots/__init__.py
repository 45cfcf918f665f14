"""Curves and dots: what they are made of, for page and files, and pictures of them for a terminal.

`lean_curves`, `driven`, `bar_choice` and `travel_used` hold the figures, whoever draws them, `look`
the colours; `roll_picture`, `choice_picture`, `travel_picture` and `road_picture` draw them with
matplotlib on the `canvas`, and only they and it load it.
"""
