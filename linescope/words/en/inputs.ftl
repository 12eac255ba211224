# Inputs: what a rig was computed from, and how each is known.

inputs = Inputs
inputs-table = Inputs, the least known first
inputs-input = Input
inputs-value = Value
inputs-known = How it is known
inputs-known-measured = measured
inputs-known-sheet = from a data sheet
inputs-known-guess = a guess
inputs-known-assumed = assumed: nobody gave it
inputs-known-stated = given, not said how it is known
inputs-known-tried = tried in place of the file's value

## A value with what is said of it

inputs-with = { $value } ({ $more })
inputs-range = { $low } to { $high }
inputs-guess = ±{ $spread } taken for a guess
inputs-library = library, { $source }
inputs-from-memory = from memory
inputs-sea-level = sea level, ISO 2533
inputs-file = in the file: { $value }, { $known }
inputs-not-in-file = not in the file
inputs-equal = { $key } = { $value }

## In place of a number

inputs-as = as { $key }
inputs-standing-tension = the standing tension
inputs-points = { $count } points from { $first } to { $last }
inputs-at = { $strain } at { $force }
inputs-many = { $first }, … { $last } ({ $count } values)
