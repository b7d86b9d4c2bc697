"""What is on the shelf: lots of wax, scent, dye and wick, what days take off them, and what has to be bought."""
