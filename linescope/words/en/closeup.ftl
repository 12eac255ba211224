# A few bays and one tape from near by.

closeup-question = What must these bays look like, and how do the two lines lie at a tape?
closeup-table = Bays in numbers (* shown above)
closeup-legend = loop depth and length of the bay, measured
closeup-deep = { $depth } deep
closeup-tight = tight: no loop
closeup-bay = bay { $number }: { $length }
closeup-backup-anchor = backup anchor { $end }
closeup-bays = Bays { $first } to { $last }, counted from A; lines at their true size
closeup-backup = backup: { $name }
closeup-main = main: { $name }
closeup-tape = tape { $number }: { $style }
closeup-wide = { $width } wide
closeup-tape-caption = Tape { $number } at its true size: main on top, backup below
closeup-ring = The ring goes round both lines
closeup-head-bay = bay
closeup-head-from-a = from A
closeup-head-length = length
closeup-head-excess = excess
closeup-head-depth = loop depth
closeup-head-main = pull of the main
closeup-head-backup = pull of the backup
