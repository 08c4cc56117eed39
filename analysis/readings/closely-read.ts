// How close together readings must lie to show what happens within a run, and what comes and goes as quickly.

/**
 * Most runs take ten seconds or more, and so does a bucket that is poured in or water that runs back through a closing valve: no
 * farther apart than this, readings show them twice. Farther apart the level may turn by a whole run from one to the
 * next, and a single reading must do. A logger's five seconds, which often come a little late. Judgement, no source.
 */
export const closelyRead_s = 5.25;

/**
 * Of readings as far apart as this one or two are all that shows what comes at once, however closely they are read otherwise:
 * the same five seconds, which may come a little early.
 */
export const hidesAtOnce_s = 4.5;
