"""Force curves read from pictures, and beside the athlete's own."""
