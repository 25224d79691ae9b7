/* The sizes the piece has: diameters where a gauge is put, lengths between shoulders, heights and
 * the whole length, each as a range that holds the exact value. */
#include <math.h>

#include "verify/judge.h"

static struct sw_bounds ordered(double a, double b)
{
    return (struct sw_bounds){fmin(a, b), fmax(a, b)};
}

static bool diameter_at(struct sw_bounds *out, const struct sw_judge *judge, double z)
{
    double low, high[2];
    for (enum sw_work_which which = 0; which < 2; which++)
        if (!sw_region_r_range(&low, &high[which], sw_sim_left(judge->sim, which), z))
            return false;
    *out = ordered(2 * high[0], 2 * high[1]);
    return true;
}

static struct sw_finding of_size(double value, double limit, const char *section, double z)
{
    struct sw_finding finding = sw_judge_finding(SW_FINDING_SIZE, SW_ERROR);
    finding.value = value;
    finding.limit = limit;
    finding.unit = "mm";
    finding.section = section;
    finding.z = z;
    return finding;
}

/* WHAT is "diameter of", "length of" ...; KEY keeps kinds apart. */
static enum sw_status judge_size(struct sw_judge *judge, struct sw_bounds size, double nominal,
                                 const struct sw_band *band, double slack, const char *what,
                                 const char *name, double z, int key)
{
    const double low = nominal + band->lower, high = nominal + band->upper;
    if (size.least < low - slack)
        return sw_judge_add(judge, of_size(size.least, low, name, z), key,
                            "%s %s comes out at %.4f mm; at least %.4f mm is wanted", what, name,
                            size.least, low);
    if (size.most > high + slack)
        return sw_judge_add(judge, of_size(size.most, high, name, z), key,
                            "%s %s comes out at %.4f mm; at most %.4f mm is wanted", what, name,
                            size.most, high);
    return SW_OK;
}

/* Slopes are judged by their form alone: a diameter there is as much a matter of the place. */
static bool has_gauged_diameter(const struct sw_section *section)
{
    return section->kind != SW_SECTION_CONE && section->kind != SW_SECTION_BACK_SLOPE &&
           section->kind != SW_SECTION_GROOVE && section->kind != SW_SECTION_TAPER;
}

/* The shape stands in the middle of the limits, the drawing gives them from the nominal size. */
static struct sw_band from_shape(const struct sw_section *section)
{
    const double middle = sw_section_middle(section);
    return (struct sw_band){.lower = section->diameter_tolerance.lower - middle,
                            .upper = section->diameter_tolerance.upper - middle};
}

void sw_judge_sections(struct sw_judge *judge)
{
    const struct sw_bounds unknown = {(double)NAN, (double)NAN};
    for (size_t i = 0; judge->shape != NULL && i < judge->shape->staff->n; i++) {
        const struct sw_shape_section *shape = &judge->shape->section[i];
        const struct sw_section *section = &judge->shape->staff->section[i];
        const struct sw_band band = from_shape(section);
        judge->verdict->section[i] = (struct sw_section_verdict){
            .name = section->name,
            .nominal_mm = shape->finished_diameter - sw_section_middle(section),
            .lower_mm = shape->finished_diameter + band.lower,
            .upper_mm = shape->finished_diameter + band.upper,
            .turned_mm = shape->turned_diameter,
            .measure_z_mm = shape->measure_z,
            .size_mm = unknown,
            .predicted_mm = unknown,
            .predicted_nominal_mm = (double)NAN,
            .moves = sw_judge_no_moves(),
            .load = {.slenderness = (shape->z1 - shape->z0) / shape->turned_diameter,
                     .um_per_n = (double)NAN,
                     .mpa_per_n = (double)NAN,
                     .load_n = (double)NAN,
                     .load_high_n = (double)NAN,
                     .stress_mpa = (double)NAN,
                     .safety = (double)NAN,
                     .bend_um = {(double)NAN, (double)NAN, (double)NAN}},
            .length_mm = unknown,
            .gouge_um = (double)NAN,
            .left_um = (double)NAN,
            .gouge_limit_um = 1000 * sw_judge_radial_limit(section, true),
            .left_limit_um = 1000 * sw_judge_radial_limit(section, false)};
    }
}

/* Bent away from the tool, the work comes out thicker by twice that. */
static void predict(struct sw_section_verdict *verdict)
{
    const struct sw_bounds size = verdict->size_mm;
    const struct sw_move *move = sw_section_moves_of(&verdict->moves);
    const double bent = 2e-3 * verdict->load.bend_um[1];
    verdict->predicted_mm = (struct sw_bounds){size.least + bent + move->down / 1000,
                                               size.most + bent + move->up / 1000};
    verdict->predicted_nominal_mm = (size.least + size.most) / 2 + bent;
}

static enum sw_status one_section(struct sw_judge *judge, const struct sw_judge_outlines *faces,
                                  size_t i)
{
    const struct sw_shape_section *shape = &judge->shape->section[i];
    const struct sw_section *section = &judge->shape->staff->section[i];
    struct sw_section_verdict *verdict = &judge->verdict->section[i];
    const struct sw_band band = from_shape(section);
    const bool is_judged =
        diameter_at(&verdict->size_mm, judge, shape->measure_z) && has_gauged_diameter(section);
    predict(verdict);
    if (is_judged) {
        SW_TRY(judge_size(judge, verdict->size_mm, shape->turned_diameter, &band,
                          2 * SW_VERIFY_FLOOR, "the diameter of", section->name, shape->measure_z,
                          1));
        SW_TRY(sw_judge_predicted(judge, i));
    }
    struct sw_bounds begin, end;
    double r;
    if (!sw_judge_face_at(&begin, &r, judge, faces, shape->z0) ||
        !sw_judge_face_at(&end, &r, judge, faces, shape->z1))
        return SW_OK;
    /* the least work has its faces nearer together: pair least with least */
    verdict->length_mm = ordered(end.least - begin.most, end.most - begin.least);
    if (section->is_free)
        return SW_OK;
    return judge_size(judge, verdict->length_mm, shape->z1 - shape->z0, &section->length_tolerance,
                      2 * SW_VERIFY_FLOOR, "the length of", section->name, (double)NAN, 2);
}

static enum sw_status heights(struct sw_judge *judge, const struct sw_judge_outlines *faces)
{
    const struct sw_staff *staff = judge->shape->staff;
    for (size_t i = 0; i < staff->n_heights; i++) {
        const struct sw_height *height = &staff->height[i];
        struct sw_bounds face;
        double r;
        if (!sw_judge_face_at(&face, &r, judge, faces, height->z))
            continue;
        /* measured from the finished lower tip, as the movement gives it */
        const struct sw_bounds from_tip = {staff->total - face.most, staff->total - face.least};
        SW_TRY(judge_size(judge, from_tip, height->from_lower_tip, &height->tolerance,
                          SW_VERIFY_FLOOR, "the height of the", height->name, height->z, 3));
    }
    return SW_OK;
}

static enum sw_status whole_length(struct sw_judge *judge, const struct sw_judge_outlines *faces)
{
    struct sw_verdict *verdict = judge->verdict;
    const double least = faces->box[0].z1 - faces->box[0].z0;
    const double most = faces->box[1].z1 - faces->box[1].z0;
    verdict->length_least_mm = fmin(least, most);
    verdict->length_most_mm = fmax(least, most);
    if (judge->shape == NULL)
        return SW_OK;
    struct sw_bounds length = {verdict->length_least_mm, verdict->length_most_mm};
    const double turned = judge->shape->z_lower - judge->shape->z_upper;
    /* What stands beyond a tip for the hand to take off is not too long. */
    if (judge->setup->tip_by_hand.value != SW_SETUP_NO_TIP)
        length = (struct sw_bounds){fmin(length.least, turned), fmin(length.most, turned)};
    return judge_size(judge, length, judge->shape->z_lower - judge->shape->z_upper,
                      &judge->shape->staff->total_tolerance, 2 * SW_VERIFY_FLOOR, "the", "length",
                      (double)NAN, 4);
}

enum sw_status sw_judge_sizes(struct sw_judge *judge)
{
    struct sw_judge_outlines faces = {0};
    for (enum sw_work_which which = 0; which < 2; which++) {
        const struct sw_region *left = sw_sim_left(judge->sim, which);
        faces.box[which] = sw_region_box(left);
        SW_TRY(sw_region_rings(&faces.rings[which], left, judge->ctx));
    }
    SW_TRY(whole_length(judge, &faces));
    if (judge->shape == NULL)
        return SW_OK;
    for (size_t i = 0; i < judge->shape->staff->n; i++)
        SW_TRY(one_section(judge, &faces, i));
    SW_TRY(sw_judge_step(judge));
    SW_TRY(heights(judge, &faces));
    return sw_judge_faces(judge, &faces);
}
