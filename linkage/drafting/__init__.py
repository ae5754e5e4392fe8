"""The study as it is edited by hand: pins that can be moved, history, saving. No drawing here."""
