"""What is drawn, without a toolkit: one description of each thing, as shapes any painter takes."""
