// How long a run must be for what is made of it.

/** Runs longer than this show the inflow themselves, against what the pump is known to move. */
export const longRun_s = 120;
/** Shorter ones are no more than a switch on and off. */
export const chatterRun_s = 6;
/** The beginning and the end of a long run, close enough to the rests beside it to share their inflow. */
export const edge_s = 60;
