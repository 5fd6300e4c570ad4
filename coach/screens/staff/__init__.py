"""The staff that all screens draw, in cells or as an engraved picture."""
