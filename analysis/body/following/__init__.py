"""From frames of a film, points placed by hand and detections to a track of the body."""
