"""Members run forward, and what their futures say: bands, milestones, risk."""
