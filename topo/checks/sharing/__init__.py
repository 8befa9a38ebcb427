"""What flows do to each other on shared links."""
