"""`python -m cutfiles`: the command line."""

from cutfiles.cli.main import run

if __name__ == "__main__":
    run()
