/* The trial path: every event of path.h, moves along each axis and both, arcs of both senses that
 * bulge and that are hollow, one longer than most dialects write in one, X beyond the axis. Places
 * are such that no reading of one (diameter, inches, axes the wrong way round, increments) can be
 * taken for another, and not on the grid, so that rounding is tried too. */
#include "app/trial.h"

#include <math.h>

#define DEGREES (3.14159265358979323846 / 180)

/* Not asked of any machine: only that they differ and are likely speeds of a small lathe. */
#define SURFACE_SPEED 23
#define DWELL_S 0.7

static struct sw_path_event *add(struct sw_trial_run *run, struct sw_path_event event)
{
    struct sw_path *path = &run->path;
    return SW_VEC_PUSH(run->ctx->arena, path, event) ? &path->at[path->n - 1] : NULL;
}

static bool say(struct sw_trial_run *run, enum sw_path_kind kind, const char *text)
{
    return add(run, (struct sw_path_event){.kind = kind, .text = text});
}

static bool go(struct sw_trial_run *run, enum sw_path_kind kind, double z, double r, double feed)
{
    return add(run, (struct sw_path_event){.kind = kind, .to = {.z = z, .r = r}, .feed = feed});
}

/* From the last place about a centre that lies (DZ, DR) from it, by SWEEP degrees; a straight move
 * to its end where arcs are not known. */
static bool turn(struct sw_trial_run *run, double dz, double dr, double sweep, double feed)
{
    const struct sw_pt from = run->path.at[run->path.n - 1].to;
    const struct sw_pt centre = {.z = from.z + dz, .r = from.r + dr};
    const double radius = hypot(dz, dr), angle = atan2(-dr, -dz) + sweep * DEGREES;
    return add(run, (struct sw_path_event){.kind = run->can.has_arcs ? SW_PATH_ARC : SW_PATH_LINE,
                                           .to = {.z = centre.z + radius * cos(angle),
                                                  .r = centre.r + radius * sin(angle)},
                                           .centre = centre,
                                           .turn = sweep > 0 ? 1 : -1,
                                           .feed = feed});
}

static bool spin(struct sw_trial_run *run, double speed, bool is_ccw)
{
    return add(run,
               (struct sw_path_event){.kind = SW_PATH_SPINDLE, .speed = speed, .is_ccw = is_ccw});
}

static bool spin_by_surface(struct sw_trial_run *run, double clamp, bool is_ccw)
{
    return add(run, (struct sw_path_event){.kind = SW_PATH_SPINDLE,
                                           .speed = SURFACE_SPEED,
                                           .is_surface_speed = true,
                                           .speed_clamp = clamp,
                                           .is_ccw = is_ccw});
}

static bool take(struct sw_trial_run *run, int place)
{
    return add(run, (struct sw_path_event){.kind = SW_PATH_TOOL,
                                           .station = run->station[place],
                                           .text = place ? "the second" : "the first"});
}

static bool correct(struct sw_trial_run *run, int which, bool is_on)
{
    return !sw_post_has_corrections(run->post) ||
           add(run, (struct sw_path_event){
                        .kind = SW_PATH_CORRECT, .correction = which, .is_on = is_on});
}

static bool second(struct sw_trial_run *run, bool is_on)
{
    return !run->can.has_second ||
           add(run, (struct sw_path_event){.kind = SW_PATH_SECOND, .is_on = is_on});
}

/* A share of the way from the least speed to the most, in whole hundreds where there are any. */
static double speed_at(const struct sw_machine *machine, double share)
{
    const double least = machine->spindle.least_speed.value;
    const double speed = least + share * (machine->spindle.most_speed.value - least);
    return speed > 200 ? 100 * floor(speed / 100) : speed;
}

static bool first_tool(struct sw_trial_run *run)
{
    const struct sw_machine *machine = run->machine;
    return say(run, SW_PATH_COMMENT, "every event once, and no part") &&
           say(run, SW_PATH_SECTION, "moves and arcs of the first tool") && take(run, 0) &&
           spin(run, speed_at(machine, 0.75), false) &&
           go(run, SW_PATH_RAPID, 2.03114, 1.80713, 0) &&
           go(run, SW_PATH_RAPID, 0.21357, 0.93118, 0) &&
           go(run, SW_PATH_LINE, -0.41234, 0.93118, 0.0053) &&
           go(run, SW_PATH_LINE, -0.41234, 1.10247, 0.0053) &&
           go(run, SW_PATH_LINE, -0.90121, 1.30352, 0.0117) &&
           turn(run, -0.50013, 0, 100, 0.0117) && turn(run, 0, 0.40021, -70, 0.0117) &&
           go(run, SW_PATH_LINE, -2.11239, 2.40117, 0.0117) &&
           turn(run, 0, -0.30017, -60, 0.0083) && turn(run, 0, 0.35013, 50, 0.0083) &&
           go(run, SW_PATH_RAPID, 0.30114, 2.60009, 0) &&
           go(run, SW_PATH_RAPID, 0.30114, 0.51234, 0) &&
           go(run, SW_PATH_LINE, 0.30114, -0.02131, 0.0083) &&
           add(run, (struct sw_path_event){.kind = SW_PATH_DWELL, .seconds = DWELL_S}) &&
           second(run, true) && second(run, false) &&
           go(run, SW_PATH_RAPID, 2.03114, -0.02131, 0) &&
           go(run, SW_PATH_RAPID, 2.03114, 1.80713, 0) &&
           add(run, (struct sw_path_event){.kind = SW_PATH_STOP});
}

static bool after_the_pause(struct sw_trial_run *run)
{
    return (!run->can.has_pauses ||
            say(run, SW_PATH_PAUSE, "here the operator measures and corrects")) &&
           spin(run, speed_at(run->machine, 0.5), false) &&
           say(run, SW_PATH_SECTION, "corrected moves") && correct(run, 1, true) &&
           go(run, SW_PATH_RAPID, 0.21357, 0.71239, 0) &&
           go(run, SW_PATH_LINE, -0.40127, 0.71239, 0.0067) && turn(run, 0, 0.25009, -80, 0.0067) &&
           go(run, SW_PATH_LINE, -0.91118, 1.40233, 0.0067) &&
           go(run, SW_PATH_RAPID, 1.03114, 1.40233, 0) && correct(run, 1, false) &&
           go(run, SW_PATH_RAPID, 2.03114, 1.80713, 0) &&
           go(run, SW_PATH_LINE, 1.91239, 1.80713, 0.0067) &&
           add(run, (struct sw_path_event){.kind = SW_PATH_STOP}) &&
           go(run, SW_PATH_RAPID, 5.01234, 4.12345, 0);
}

static bool second_tool(struct sw_trial_run *run)
{
    const struct sw_machine *machine = run->machine;
    return say(run, SW_PATH_COMMENT, "the second tool follows") &&
           say(run, SW_PATH_SECTION, "the other sense of the spindle") && take(run, 1) &&
           spin(run, speed_at(machine, 0.25), true) &&
           go(run, SW_PATH_RAPID, 3.01117, 1.21239, 0) &&
           go(run, SW_PATH_LINE, -1.80129, 1.21239, 0.0211) && correct(run, 2, true) &&
           go(run, SW_PATH_LINE, -1.90013, 0.92231, 0.0211) &&
           go(run, SW_PATH_LINE, -2.10013, 1.22231, 0.0211) && correct(run, 2, false) &&
           go(run, SW_PATH_RAPID, 3.01117, 1.21239, 0) &&
           add(run, (struct sw_path_event){.kind = SW_PATH_STOP});
}

static bool surface_speeds(struct sw_trial_run *run)
{
    for (int is_ccw = 0; is_ccw < 2; is_ccw++)
        if (!spin_by_surface(run, speed_at(run->machine, 0.5 + 0.25 * is_ccw), is_ccw) ||
            !go(run, SW_PATH_RAPID, 0.70113, 1.91127, 0) ||
            !go(run, SW_PATH_LINE, 0.70113, 0.41127 + is_ccw, 0.0151) ||
            !go(run, SW_PATH_RAPID, 3.01117, 1.91127, 0) ||
            !add(run, (struct sw_path_event){.kind = SW_PATH_STOP}))
            return false;
    return true;
}

static bool list_unused(struct sw_trial_run *run)
{
    struct sw_arena *arena = run->ctx->arena;
    const struct {
        bool is_used;
        const char *what;
    } event[] = {
        {run->can.has_arcs, "arcs"},
        {run->can.has_pauses, "pauses"},
        {sw_post_has_surface_speed(run->post), "surface speeds"},
        {sw_post_has_corrections(run->post), "corrections in the head"},
        {run->can.has_second, "a second spindle"},
    };
    for (size_t i = 0; i < sizeof event / sizeof *event; i++)
        if (!event[i].is_used && !SW_VEC_PUSH(arena, &run->found->unused, event[i].what))
            return false;
    return true;
}

enum sw_status sw_trial_make_path(struct sw_trial_run *run)
{
    static const struct sw_path_correction corrections[SW_TRIAL_CORRECTIONS] = {
        {"the first tool, on radius"}, {"the second tool, on radius"}};
    static const char *const head[] = {"A trial of the dialect; it cuts no part. Never run it with "
                                       "a rod in the spindle."};
    run->path =
        (struct sw_path){.stem = "trial", .head = head, .n_head = 1, .park = {5.01234, 4.12345}};
    if (sw_post_has_corrections(run->post)) {
        run->path.correction = corrections;
        run->path.n_corrections = SW_TRIAL_CORRECTIONS;
    }
    const bool is_made = list_unused(run) && first_tool(run) && after_the_pause(run) &&
                         second_tool(run) &&
                         (!sw_post_has_surface_speed(run->post) || surface_speeds(run)) &&
                         go(run, SW_PATH_RAPID, 5.01234, 4.12345, 0) &&
                         add(run, (struct sw_path_event){.kind = SW_PATH_END});
    run->found->n_events = run->path.n;
    return is_made ? SW_OK : SW_MEMORY;
}
