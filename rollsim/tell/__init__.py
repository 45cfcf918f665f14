"""How is an answer told? Each figure once: its name, its words, its unit, why it may be missing."""
