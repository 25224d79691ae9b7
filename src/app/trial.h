/* trial: a dialect proved against a control without a part; what the files trial*.c share.
 *
 * A built-in path uses every event of path/path.h. It is written by the dialect, the text is read
 * by the control's facts alone, and each event is held against what was read. Here maker and judge
 * meet, as everywhere in app: nothing of the dialect but how finely it writes comes into the
 * reading.
 * Frames: the path in the tool's own numbers, X on radius; the motion in the machine's. ZERO is
 * where the tool's zero stands for each station, in numbers that no two stations share.
 */
#ifndef SW_APP_TRIAL_H
#define SW_APP_TRIAL_H

#include "ncread/ncread.h"
#include "post/post.h"
#include "report/trial.h"

enum { SW_TRIAL_CORRECTIONS = 2, SW_TRIAL_PROGRAMS = 8 };

/** A trial on its way. */
struct sw_trial_run {
    const struct sw_post *post;
    const struct sw_machine *machine;
    struct sw_post_abilities can;
    struct sw_path path;
    int station[2]; /* the same twice on a machine with one */
    struct sw_post_programs programs;
    struct sw_motion motion[SW_TRIAL_PROGRAMS];
    struct sw_motion_pt zero[SW_NCREAD_TOOLS];   /* by station */
    double correction[SW_TRIAL_CORRECTIONS + 1]; /* what each holds, on radius; 1.. */
    const char *second; /* said in front of what was asked in the second reading; NULL: first */
    struct sw_trial *found;
    struct sw_ctx *ctx;
};

/** Make the path of what dialect and control can do; what they cannot is listed as unused. */
enum sw_status sw_trial_make_path(struct sw_trial_run *run) SW_MUST_CHECK;

/** Hold the motions against the path; differences go to FOUND. */
enum sw_status sw_trial_compare(struct sw_trial_run *run) SW_MUST_CHECK;

#endif
