# What is seen from anchor A.

spectator-question = What should the loops look like from anchor A, before anyone steps on?
spectator-legend = loop depth, from the line between its tapes
spectator-station = { $number }: { $depth }
spectator-anchor-b = anchor B, { $distance } away
spectator-caption = Seen by somebody whose eyes are { $above } above anchor A, { $beside } to its right and { $behind } behind it. Lines at their true size.
spectator-detail = { $number }: { $place } from A, bay { $bay }
spectator-detail-taped = { $number }: { $place } from A, bay { $bay } (as taped: { $before })
