"""What a reading is worth: accuracy statements, named errors, propagation, steadiness, side-by-side checks."""
