# Which tape goes where: the line as it lies, in rows.

strip-question = Which tape goes where?
strip-joint-legend = joint of the main, not tied
strip-state = to be marked on the { $marked } main
strip-joint = joint { $place }
strip-caption = Bold: number of the tape, and place on the main from A [{ $unit }] as it lies, { $lies }; under it the same as rigged, nobody on the line. { $between } Lengths to the centimetre or a hundredth of a foot, to be marked.
strip-slack = slack on the ground
strip-pulled = pulled for marking
strip-equal = Backup from tape to tape { $length } { $unit }, end bays as shown.
strip-unlike = Between tapes, over the line: backup to leave [{ $unit }].
