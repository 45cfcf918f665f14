"""Why does it lean? The hand formula step by step, one effect at a time, and exercises on it.

`hand` solves the formula of the blackboard, `stages` says which springs work, `board` writes it
down, `calculator` works its lines again as printed, `working` ends it in the full model's figure,
`beyond` says what it misses, `slips` recognises wrong answers, `questions` asks further ones,
`effects` varies one thing at a time, `leaning` has what a picture of it needs, `class_code` and
`worksheet` set exercises, `bay` goes out to the vehicle.
"""
