# Loops of the backup: excess and depth.

loops = Excess and loop depth in each state
loops-bays = Loops, bay by bay: depth, excess

## Names of states

loops-state = State
loops-state-slack = slack, as marked
loops-state-standing = standing
loops-state-walker = with the walker
loops-state-fall = at the lowest point of a leash fall (≤)
loops-state-standing-held = standing, hold as given
loops-state-settled = settled

## Figures.  `.head` is for a narrow column.

loops-excess = excess of the backup
    .head = excess
loops-seen = loop depth
    .head = loop depth
loops-tight = bays without slack
    .head = without slack
loops-main-tension = tension in the main, bay by bay
    .head = main tension
loops-no-slack = tight

## Notes

loops-negative-slack = Slack on the ground the backup is shorter than the main in { $count } of { $total } bays ({ $bays }; least excess { $least }).
loops-negative = Negative excess { $state ->
        [loops-state-standing] standing
        [loops-state-walker] with the walker
       *[loops-state-fall] at the lowest point of a leash fall
    }: in { $count } of { $total } bays ({ $bays }; least { $least }) the backup carries load before the main fails, up to { $share } of the pair's tension: { $backup } beside { $main } on the main.
    .each = { $state ->
        [loops-state-standing] standing
        [loops-state-walker] with the walker
       *[loops-state-fall] at the lowest point of a leash fall
    } in { $count } of { $total } bays ({ $bays }; least { $least }; up to { $share } of the pair's tension, { $backup } beside { $main } on the main)
    .many = Negative excess, the backup carries load before the main fails: { $each }.
loops-tape-shear = { $state ->
        [loops-state-standing] Standing,
        [loops-state-walker] With the walker,
       *[loops-state-fall] At the lowest point of a leash fall,
    } tapes of the tight backup would have to carry up to { $force } along the line, and tape carries about { $least } to { $most } (estimate, no source). Tapes then shear or slip, the backup carries less, and everything hangs lower.
loops-basis-cells = Depth and excess of each loop. Excess: how much longer the backup in the bay is than the main, as stretched in that state.
loops-least = Least excess { $state ->
        [loops-state-slack] slack on the ground
        [loops-state-standing] standing
        [loops-state-walker] with the walker
       *[loops-state-fall] at the lowest point of a leash fall
    }: { $excess } in bay { $bay }

loops-as-built-straight = The loop at { $at } is as straight as one without excess: its excess is zero or negative, and its depth does not tell by how much.

## Crew picture: what you must see

loops-see-title = { $seen ->
        [yes] Empty, every loop hangs { $depth } deep; the ring goes round both lines
       *[no] Empty, loops hang { $depth } deep, bay by bay; the ring goes round both lines
    }
loops-see-tight = { $walked ->
        [yes] With the walker on it, the backup is tight in
       *[no] The backup is tight in
    } { $count ->
        [one] bay { $bays }
       *[other] { $count } of { $total } bays
    }: no loop there, and it carries load before the main fails
loops-see-under = { $name } · bays { $first } to { $last }, { $start } to { $end } from A, true to scale, lines drawn wider
loops-see-key-leash = leash and its ring
loops-see-no-loop = backup tight
loops-see-ring = ring
loops-see-ring-right = RIGHT: round both lines
loops-see-ring-wrong = WRONG: round the main only
loops-see-walked = With the walker at { $at }
loops-see-empty = Empty line
loops-see-before = Empty line, before anyone walks: { $uneven ->
        [yes] loops hang
       *[no] each loop hangs
    }
loops-see-uneven = Bays differ; what each must show is in the record, section 7. A fifth more or less: common practice, no source.
loops-see-accept = { $depth } deep
loops-see-stop = If not: stop, and ask who planned the line.
loops-see-none = No bay has a loop: stop and ask.
loops-see-odd = Odd: { $count ->
        [one] bay { $bays } hangs
       *[other] bays { $bays } hang
    } { $depth } deep instead
loops-see-odd-tight = Odd: { $count ->
        [one] bay { $bays } is
       *[other] bays { $bays } are
    } tight
loops-see-odd-many = Odd: { $count } of { $total } bays hang { $depth } deep instead (record, section 7)
loops-see-odd-none = In every bay. A fifth more or less than computed: common practice, no source.
