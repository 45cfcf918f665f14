"""Why does it lean? The hand formula step by step, one effect at a time, and exercises on it.

`hand` solves the formula of the blackboard, `stages` says which springs work, `board` writes it
down, `working` ends it in the full model's figure, `beyond` says what it misses, `mistakes`
recognises wrong answers, `effects` varies one thing at a time, `class_code` and `worksheet` set
exercises, `bay` goes out to the vehicle.
"""
