# Inputs: what a rig was computed from, and how each is known.

## A value with what is said of it

inputs-with = { $value } ({ $more })
inputs-range = { $low } to { $high }
inputs-guess = ±{ $spread } taken for a guess
inputs-library = library, { $source }
inputs-from-memory = from memory
inputs-from-load-cells = from two published load-cell lines, a thin base
inputs-unworked = not said; worked webbing lies within its low and high, { $source }
inputs-sea-level = sea level, ISO 2533
inputs-file = in the file: { $value }, { $known }
inputs-not-in-file = not in the file
inputs-what-if = What if { $key } is { $value }? ({ $file })
inputs-kept = Saved { $file }. What is tried is kept in it as variant { $variant }, beside the file's own values.
inputs-equal = { $key } = { $value }

## In place of a number

inputs-as = as { $key }
inputs-standing-tension = the standing tension
inputs-points = { $count } points from { $first } to { $last }
inputs-at = { $strain } at { $force }
inputs-many = { $first }, … { $last } ({ $count } values)

## Hardly meant so

inputs-unlikely = Unlikely input, check it: { $key } is { $value }; usual (from memory): { $low } to { $high }.
    .each = { $key } is { $value }, usual { $low } to { $high }
    .many = Unlikely inputs, check them (usual values from memory): { $each }.
inputs-unlikely-stretch = Unlikely input, check it: { $key } comes to { $value } at { $force }; usual (from memory): { $low } to { $high }.
    .each = { $key } comes to { $value } at { $force }, usual { $low } to { $high }
    .many = Unlikely stretch, check it (usual values from memory): { $each }.
inputs-unlikely-softer = Unlikely input, check it: { $key } turns { $times } times softer at { $force }.
inputs-unlikely-stiffer = Unlikely input, check it: { $key } turns { $times } times stiffer at { $force }.
