"""The board: a study in a window, where pins are moved by hand and everything that follows is seen at once."""
