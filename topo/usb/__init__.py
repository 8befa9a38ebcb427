"""What knows USB: published arithmetic, and the door from a wired rig to plain resources and flows."""
