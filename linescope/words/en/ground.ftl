# The ground: what was read, assumed, dropped, and what is odd about it.

ground-flat = { $count ->
        [one] One of { $total } triangles is without area; it counts as the segment or point that it is.
       *[other] { $count } of { $total } triangles are without area; they count as the segments and points that they are.
    }
ground-left-out = { $count } of { $total } triangles without area were left out.
ground-y-up = The axis that points up is y, as the glTF standard says (assumed).
ground-unit-or-axis = Unit or axis? Both anchors would stand on known ground with { $fits }.
ground-fit-up = { $unit } and { $up }
ground-grid-holes = { $count } of { $total } heights of the grid are missing; the ground has holes there.
ground-degrees = Longitude and latitude are laid flat about { $longitude }, { $latitude } on a sphere of radius { $radius } (assumed); that point is the origin before turn and shift.
ground-between-points = A surface between the points is assumed (neighbours in plan are joined); under an overhang it keeps only the top point, and what stands between points is not in it.
ground-below-another = { $count ->
        [one] One point below another one at the same plan position was left out.
       *[other] { $count } points below another one at the same plan position were left out.
    }
ground-sieved = { $count ->
        [one] One point
       *[other] { $count } points
    } farther than { $near } beside the line were left out: of those in one cell the highest stays. Cells are a hundredth of their distance from the line wide, up to { $cell }, and points up to six cells apart are joined there.
ground-long-edges = Points over { $limit } apart in plan are not joined ({ $how ->
        [asked] as asked
       *[assumed] assumed
    }); { $count } of { $total } triangles are left open.
ground-profile = The profile is taken as level across the line, { $width } to either side (assumed).
ground-thinned = Thinned for the picture from { $total } to { $count } triangles; distances use all of them.

## Odd, and accepted as it is

ground-odd-wide = The ground looks misplaced: it is { $size } wide for a span of { $span } (wrong unit?). Accepted as it is.
ground-odd-narrow = The ground looks misplaced: it is only { $size } wide for a span of { $span } (wrong unit?). Accepted as it is.
ground-odd-upright = The ground looks misplaced: it stands upright, facing { $axis } (wrong up axis?). Accepted as it is.
ground-odd-beside = The ground looks misplaced: none of it lies under the line; its middle is { $distance } away in plan. Accepted as it is.
ground-odd-above = The ground looks misplaced: it lies { $height } above the line (middle value along the span). Accepted as it is.
ground-odd-below = The ground looks misplaced: it lies at least { $depth } below a line of { $span } (wrong unit or datum?). Accepted as it is.
ground-odd-little = The ground looks misplaced: it is known below only { $known } of the { $span } line (wrong unit, up axis or place?). Accepted as it is.
ground-odd-anchors = The ground looks misplaced: it reaches no anchor, neither in height nor in plan (wrong unit, up axis or place?). Accepted as it is.

## Anchors and holes

ground-anchor-below = Anchor { $anchor } is { $depth } below the ground there{ $beside ->
        [none] {""}
       *[face] {" "}(the ground passes its height { $distance } beside it: is it bolted to that face?)
    }: check the anchors, and unit, up axis and shift of the ground.
ground-anchor-above = Anchor { $anchor } is { $height } above the ground there: check the anchors, and unit, up axis and shift of the ground.
ground-anchor-under = Rock hangs { $height } above anchor { $anchor }.
ground-exchanged = Anchors exchanged? Read from B, the profile fits both anchors; its stations count from A to B.
ground-unknown = No ground is known below the line at { $stretches } from A in plan, { $length } of { $span }; nothing is bridged. If there should be some, check the anchors, and unit, up axis and shift of the ground.
ground-unusable = The ground cannot be used: { $error }
ground-into = { $depth } into the ground

## Brought from files

ground-heights-as-plan = The file does not say in what unit its heights are: they are taken as those of its plan, { $metre } each (guessed). Where that is wrong, name the unit.
ground-heights-in-metres = Heights of the file are taken as metres (assumed).
ground-system = Coordinates are those of { $system }; heights are taken as they stand, with the anchors' of one and the same datum (assumed).
ground-system-with-heights = Coordinates are those of { $system }, heights those of { $heights }, taken as the anchors' own (assumed).
ground-no-system = Nothing says in what coordinate system this file is: its coordinates are taken as metres in the anchors' own frame (assumed).
ground-noise = { $count ->
        [one] One point classed as noise was
       *[other] { $count } points classed as noise were
    } left out.
ground-unclassified = None of the { $count } points is classed as ground: trees, wires and all else count as ground.
ground-classes = By class: { $ground } points of ground, { $vegetation } of vegetation, { $water } of water, { $other } of other things, { $unknown } not told apart, which count with the vegetation.
ground-cropped = Read up to { $radius } to all sides of the line: what lies farther is not known, and no distance above { $radius } less the drift is.
ground-height-of-ground = The height of anchor { $anchor } was not given: it is that of the ground there (assumed).
ground-from-site = Read from { $file }, brought from { $source }.

ground-written = { $file } is written.
ground-line = The line is { $span } long from A to B, bears { $bearing } from north, and B lies { $rise } { $way ->
        [up] above
       *[down] below
    } A.
ground-piece = { $name } ({ $role }): { $triangles } triangles, from { $file }.
ground-role-ground = ground
ground-role-vegetation = vegetation
ground-role-obstacle = obstacle
ground-role-water = water
ground-role-area = named area
ground-scene-profile = profile of the scene
ground-for-scene = For the scene
ground-other-anchors = The scene's anchors are not those of the site file: { $anchor } is { $distance } away. The ground is taken as it lies.
