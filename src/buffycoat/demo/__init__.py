"""The demo bank: an invented animal hospital, its invented donors and three months of invented work."""
