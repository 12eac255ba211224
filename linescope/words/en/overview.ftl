# The whole rig in space.

overview-question = Where does the line hang, what is below it, and what do the loops look like?
overview-depth = loop depth, from the line between its tapes
overview-shown-below = these bays are shown below
overview-walker = walker { $mass }
overview-rod = { $length } along the line
overview-anchor = anchor { $end }: main { $force }
overview-ground = { $depth } down to the ground
overview-near = Near view, { $stretch } from A
overview-ring = leash ring round both lines
overview-ring-without = dashed: the loop without the ring
