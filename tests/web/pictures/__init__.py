"""Pictures, as the markup they are."""
