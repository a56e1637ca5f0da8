"""The process model: what changes the water of one tank, and its day run on the host."""
