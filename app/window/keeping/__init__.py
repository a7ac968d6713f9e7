"""Nothing is lost: saving in the background, leaving a review, other names, earlier versions."""
