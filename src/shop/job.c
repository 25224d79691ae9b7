#include "shop/job.h"

#include <string.h>

#include "base/file.h"
#include "shop/read_int.h"

static const char *const scheme_words[] = {"reversed", "bush", "single", "auto", NULL};
static const char *const side_words[] = {"upper", "lower", NULL};
static const char *const order_words[] = {"tip-first", "last", NULL};
static const char *const parting_words[] = {"to-neck", "through", NULL};
static const char *const last_tip_words[] = {"second-chucking", "by-hand", NULL};

/* clang-format off */
#define JOB(member) .offset = offsetof(struct sw_job, member)
#define HARDEN(member) .offset = offsetof(struct sw_job_harden, member)

static const struct sw_field harden_fields[] = {
    {.key = "rod", .kind = SW_FIELD_TEXT, HARDEN(rod), .is_required = true,
     .sentence = "The material of the rod that the blank is turned from, by name; the staff's own is "
                 "what it becomes by hardening and tempering."},
    {.key = "growth", .kind = SW_FIELD_NUMBERS, .quantity = SW_QUANTITY_RATIO, HARDEN(growth),
     .least = -0.01, .most = 0.01, .is_required = true,
     .sentence = "By what share of each size a blank is larger after hardening, at least and at most, "
                 "as measured on hardened blanks: `[0.02 %, 0.12 %]`."},
    {.key = "allowance", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, HARDEN(allowance),
     .least = 0.02, .most = 0.5, .fallback = "0.04",
     .sentence = "What is left on the diameter of all that is cut once more when it is hard, a fifth "
                 "of it on faces, all of it at the tips."},
};
static const struct sw_table harden_table = {
    "harden", "A blank is turned from soft rod, hardened and tempered, and finished.",
    sizeof(struct sw_job_harden), harden_fields, sizeof harden_fields / sizeof *harden_fields};

static const struct sw_field job_fields[] = {
    {.key = "name", .kind = SW_FIELD_TEXT, JOB(name), SW_NAME_RANGE,
     .sentence = "Name of the job, shown on the sheet; the file's own name when not given."},
    {.key = "staff", .kind = SW_FIELD_TEXT, JOB(staff), .is_required = true,
     .sentence = "The staff's description: a file, seen from the folder of the job."},
    {.key = "shop", .kind = SW_FIELD_TEXT, JOB(shop), .is_required = true,
     .sentence = "The workshop: a file beside the job, or the name of a shop in the profiles."},
    {.key = "post", .kind = SW_FIELD_TEXT, JOB(post),
     .sentence = "The dialect to write, in place of the shop's."},
    {.key = "scheme", .kind = SW_FIELD_WORD, JOB(scheme), .words = scheme_words,
     .fallback = "reversed",
     .sentence = "How the staff is held in turn: `reversed`, one side from the rod, parted, turned "
                 "round; `bush`, the same with the bar fed out of a guide bush, zone by zone; `single`, "
                 "both sides in one grip, broken off at a neck in front of the second tip; `auto`, "
                 "`reversed` or `single`, whichever is better by risk, true running and time. Left "
                 "out, `bush` on a sliding headstock, else `reversed`."},
    {.key = "first_side", .kind = SW_FIELD_WORD, JOB(first_side), .words = side_words,
     .fallback = "upper", .sentence = "Which side is cut from the rod."},
    {.key = "pivot_order", .kind = SW_FIELD_WORD, JOB(pivot_order), .words = order_words,
     .fallback = "tip-first",
     .sentence = "Whether the pivot is cut first, while the metal behind it is still thick, or "
                 "last, after the seats have been tried with the real parts. Left out: what is sooner "
                 "done, as far as the last cuts bend within their share."},
    {.key = "parting", .kind = SW_FIELD_WORD, JOB(parting), .words = parting_words,
     .fallback = "to-neck",
     .sentence = "Whether the blade stops at a neck that is broken by hand, or cuts through."},
    {.key = "neck", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, JOB(neck),
     .least = 0.05, .most = 3, .fallback = "0.3",
     .sentence = "Diameter left when parting to a neck. With `scheme: single`, left out, the thinnest "
                 "that carries the staff."},
    {.key = "last_tip", .kind = SW_FIELD_WORD, JOB(last_tip), .words = last_tip_words,
     .fallback = "second-chucking",
     .sentence = "With `scheme: single`: whether the second tip, broken off at its neck, is faced and "
                 "formed in a short second chucking, or by hand."},
    {.key = "leave_long", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH, JOB(leave_long),
     .least = 0, .most = 2, .fallback = "0",
     .sentence = "Length left on at the second tip, to be taken off by trial in the movement."},
    {.key = "sizing_length", .kind = SW_FIELD_NUMBER, .quantity = SW_QUANTITY_LENGTH,
     JOB(sizing_length), .least = 0, .most = 5, .fallback = "0",
     .sentence = "Length turned ahead of the tip to be measured and then faced away; 0 for none."},
    {.key = "measure", .kind = SW_FIELD_TRUTH, JOB(measure), .fallback = "yes",
     .sentence = "Whether the program pauses so that critical diameters can be measured."},
    {.key = "try_parts", .kind = SW_FIELD_TRUTH, JOB(try_parts), .fallback = "no",
     .sentence = "Whether it pauses so that balance, collet and roller can be tried on."},
    {.key = "second_grip", .kind = SW_FIELD_TEXT, JOB(second_grip),
     .sentence = "Name of the section held for the second side; the balance seat when not given."},
    {.key = "holder_first", .kind = SW_FIELD_TEXT, JOB(holder_first),
     .sentence = "Holder for the rod, by name; the truest that takes it when not given."},
    {.key = "holder_second", .kind = SW_FIELD_TEXT, JOB(holder_second),
     .sentence = "Holder for the second side, by name; the truest that takes it when not given."},
    {.key = "harden", .kind = SW_FIELD_MAP, JOB(harden), .table = &harden_table,
     .sentence = "Turn a blank from soft rod first; hardened and tempered, it is finished by programs "
                 "of its own (`make --hardened`)."},
};
const struct sw_table sw_job_table = {
    "job/1", "What to make of which staff in which workshop, and the choices of the trade.",
    sizeof(struct sw_job), job_fields, sizeof job_fields / sizeof *job_fields};

/* clang-format on */

/* "a/b/collar.yaml" gives "collar". */
static const char *stem_of(const char *path, struct sw_ctx *ctx)
{
    const char *slash = strrchr(path, '/');
    const char *name = slash ? slash + 1 : path;
    const char *dot = strrchr(name, '.');
    const size_t n = dot && dot > name ? (size_t)(dot - name) : strlen(name);
    return sw_arena_copy(ctx->arena, name, n);
}

struct sw_job_growth sw_job_growth(const struct sw_job *job)
{
    const struct sw_number *growth = job->harden.growth.at;
    return (struct sw_job_growth){growth[0].value, growth[1].value};
}

double sw_job_growth_middle(const struct sw_job *job)
{
    const struct sw_job_growth growth = sw_job_growth(job);
    return (growth.least + growth.most) / 2;
}

static void check_growth(const struct sw_job_harden *harden, struct sw_sense *sense)
{
    static const char hint[] = "write the least and the most, `growth: [0.02 %, 0.12 %]`";
    const struct sw_number *growth = harden->growth.at;
    if (!harden->growth.given)
        return; /* told by the table */
    if (harden->growth.n != 2)
        SW_FAULT(sense, "job.growth", harden->growth.span, hint,
                 "`growth` wants two numbers; here %s %zu", harden->growth.n == 1 ? "is" : "are",
                 harden->growth.n);
    else if (growth[0].value > growth[1].value)
        SW_FAULT(sense, "job.growth", growth[0].at, hint,
                 "the least growth is larger than the most");
}

/* Two turnings with a fire in between: what the ways of holding do not go with is refused. */
static void check_harden(const struct sw_job *job, struct sw_sense *sense)
{
    if (!sw_job_hardens(job))
        return;
    check_growth(&job->harden, sense);
    if (job->scheme.given && job->scheme.value != SW_SCHEME_REVERSED)
        SW_FAULT(sense, "job.harden", job->scheme.at, "write `scheme: reversed`, or take it out",
                 "a blank to be hardened is turned side by side, `scheme: reversed`");
    if (job->sizing_length.value > 0)
        SW_FAULT(sense, "job.harden", job->sizing_length.at, "take the line out",
                 "a hardened blank has no length ahead of its tip to be measured on");
}

enum sw_status sw_job_load(struct sw_job **out, const char *path, struct sw_ctx *ctx)
{
    struct sw_sense sense = {ctx, false};
    void *thing = NULL;
    SW_TRY(sw_shop_read_root(&thing, &sw_job_table, path, &sense));
    struct sw_job *job = thing;
    if (job->neck.given && job->parting.value == SW_PART_THROUGH)
        SW_FAULT(&sense, "job.neck", job->neck.at, "take the line out, or write `parting: to-neck`",
                 "parting through leaves no neck");
    const bool is_single = job->scheme.value == SW_SCHEME_SINGLE;
    const bool may_be_single = is_single || job->scheme.value == SW_SCHEME_AUTO;
    if (is_single && job->parting.value == SW_PART_THROUGH)
        SW_FAULT(&sense, "job.parting", job->parting.at,
                 "take the line out, or write `parting: to-neck`",
                 "cut in one grip a staff is not parted through: it would fall on its pivot");
    if (!may_be_single && job->last_tip.given)
        SW_FAULT(&sense, "job.last-tip", job->last_tip.at,
                 "take the line out, or write `scheme: single` or `auto`",
                 "`last_tip` is for staffs cut in one grip alone");
    check_harden(job, &sense);
    SW_TRY(sw_shop_finish(&sense));
    if (!job->name.value) {
        job->name.value = stem_of(path, ctx);
        if (!job->name.value)
            return SW_MEMORY;
    }
    const char *folder = sw_path_folder(ctx->arena, path);
    if (!folder)
        return SW_MEMORY;
    if (strcmp(folder, ".") != 0) {
        job->staff.value = sw_path_join(ctx->arena, folder, job->staff.value);
        if (!job->staff.value)
            return SW_MEMORY;
    }
    *out = job;
    return SW_OK;
}
