"""The commands of the terminal, one file a subject; ``service/cli.py`` puts them together."""
