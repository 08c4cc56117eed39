// How close together readings must lie to show what happens within a run, and what comes and goes as quickly.

/**
 * Most runs take ten seconds or more, and so does a bucket that is poured in or water that runs back through a closing valve: no
 * farther apart than this, readings show them twice. Farther apart the level may turn by a whole run from one to the
 * next, and a single reading must do. Judgement, no source.
 */
export const closelyRead_s = 5;
