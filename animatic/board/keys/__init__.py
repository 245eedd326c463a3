"""What a board may say: its keys, what their values mean, and what is said of others."""
