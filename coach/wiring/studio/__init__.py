"""The screens' studio on real edges: a file for each floor of screens."""
