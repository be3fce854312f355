"""`python -m hoopwright`."""

from hoopwright.cli.main import app

if __name__ == "__main__":
    app()
