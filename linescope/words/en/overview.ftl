# The place: the whole rig in space.

overview-under = { $name } · { $span } · { $state }
overview-footer = linescope { $version }, { $date }. Computed from the inputs on the sheet; a plan, not a permission.

## The message, one of these

overview-verdict-reached = { $event ->
        [gone] If the main goes, feet can reach { $onto }, worst at
        [fall] Leash falls can reach { $onto }, worst at
        [both] Leash falls, and loss of the main, can reach { $onto }, worst at
       *[other] Without any fall, { $what } reaches { $onto } at
    } { $places } from A{ $more ->
        [0] {""}
       *[other] {" "}(and { $more } more)
    }{ $then ->
        [none] {""}
        [gone] ; if the main goes, at { $others }
        [fall] ; in leash falls, at { $others }
        [both] ; in falls or loss of the main, at { $others }
       *[other] ; without any fall, { $what }, at { $others }
    }{ $further ->
        [0] {""}
       *[other] {" "}(and { $further } more)
    }
overview-verdict-near = { $event ->
        [gone] If the main goes, feet come nearer to { $onto } than needed, worst at
        [fall] Leash falls come nearer to { $onto } than needed, worst at
        [both] Leash falls, and loss of the main, come nearer to { $onto } than needed, worst at
       *[other] Without any fall, { $what } is nearer to { $onto } than needed at
    } { $places } from A{ $more ->
        [0] {""}
       *[other] {" "}(and { $more } more)
    }{ $then ->
        [none] {""}
        [gone] ; if the main goes, at { $others }
        [fall] ; in leash falls, at { $others }
        [both] ; in falls or loss of the main, at { $others }
       *[other] ; without any fall, { $what }, at { $others }
    }{ $further ->
        [0] {""}
       *[other] {" "}(and { $further } more)
    }
overview-verdict-tight = The backup is tight in { $count ->
        [one] one bay
       *[other] { $count } bays
    } of { $total }
overview-lens-where = in the small circle
overview-lens-loop = loop { $depth } deep
overview-tight = Backup tight in { $count ->
        [one] bay { $bays }
       *[other] { $count } of { $total } bays
    }: it carries load before the main fails
overview-verdict-kept = At least { $left } left to the ground everywhere compared; least { $place } from A
overview-verdict-no-ground = No ground is known: nothing is said of what lies below
overview-verdict-not-compared = Distances to the ground were not computed
overview-verdict-not-asked = No distance to the ground is asked for
overview-verdict-unknown = Not shown to be clear of the ground everywhere: it is not known below all of the line
overview-onto-ground = the ground
overview-onto-water = the water
overview-onto-either = ground or water
overview-what-line = the line
overview-what-loop = a loop
overview-what-leash = the leash
overview-what-body = the body
overview-what-several = the rig

## In the picture

overview-place-reached = { $place }: { $event ->
        [gone] feet reach { $onto } if the main goes
        [fall] { $runs ->
            [yes] feet reach { $onto } if the ring runs
           *[no] leash falls reach { $onto }
        }
        [both] { $runs ->
            [yes] feet reach { $onto } if the ring runs or the main goes
           *[no] falls, or the main gone, reach { $onto }
        }
       *[other] { $what } reaches { $onto }
    }
overview-place-near = { $place }: { $left } left, { $needed } needed ({ $event ->
        [gone] main gone
        [fall] leash fall
        [both] falls, main gone
       *[other] { $what }
    })
overview-place-besides = { $place }: { $event ->
        [gone] main gone
        [fall] { $runs ->
            [yes] ring runs
           *[no] falls
        }
        [both] any fall
       *[other] { $what }
    }{ $reached ->
        [yes] {""}
       *[no] , near
    }
overview-plumb = { $height } down
overview-walker-sag = { $mass }, sag { $sag }
overview-key-main = main
overview-key-backup = backup
overview-key-tapes = { $step ->
        [1] tape
       *[other] 1 tape in { $step }
    }
overview-key-hit = can be reached
overview-key-near = nearer than asked for
overview-area = { $kind ->
        [nobody] { $name }: nobody stands here
       *[other] { $name }
    }
overview-key-contours = heights every { $step }, bold { $bold }
overview-key-assumed = fading: not surveyed, assumed
overview-key-blank = blank: ground not known

## Shared

overview-walker = walker { $mass }
overview-ring = leash ring round both lines
overview-ring-without = dashed: the loop without the ring
