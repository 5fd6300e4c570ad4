"""ABC, the notation that a player types: a tune and the page that it makes."""
