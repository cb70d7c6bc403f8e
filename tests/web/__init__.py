"""The pages as they are answered, without a browser."""
