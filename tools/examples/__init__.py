"""What tools/make_examples.py is made of: the scale, a laboratory with known errors, five sets."""
