/* trial_int: the comparer, shared by trial_compare.c (what differs) and trial_likely.c (why). */
#ifndef SW_APP_TRIAL_INT_H
#define SW_APP_TRIAL_INT_H

#include "app/trial.h"

struct sw_trial_comparer {
    struct sw_trial_run *run;
    size_t program;          /* motion being read */
    size_t begin, next, end; /* its events that the lines of EVENT made; NEXT is not yet held */
    size_t line, end_line;   /* these lines */
    size_t event;            /* of the path, index */
    int station;
    /* spindle asked for */
    bool is_turning, is_ccw, is_surface_speed;
    double speed, speed_clamp;
    double corrected; /* the sum of the corrections that are in, on radius */
};

/** A point of the motion in the numbers of the tool in use, correction taken out. */
struct sw_pt sw_trial_own(const struct sw_trial_comparer *c, struct sw_motion_pt at);

/** What in the dialect likely makes a move end at READ (as motion) in place of ASKED. */
const char *sw_trial_why_place(const struct sw_trial_comparer *c, struct sw_pt asked,
                               const struct sw_motion_event *read);
/** ... a feed differ. */
const char *sw_trial_why_feed(const struct sw_trial_comparer *c, double asked,
                              const struct sw_motion_state *read);
/** ... a wait differ. */
const char *sw_trial_why_dwell(double asked, double read);
/** ... an event of the path have no counterpart. */
const char *sw_trial_why_missing(const struct sw_trial_run *run, const struct sw_path_event *e);

#endif
