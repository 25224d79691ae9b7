#include <jansson.h>
#include <math.h>

#include "base/num.h"
#include "report/correct_int.h"

/* Doubt of a drift a piece is a few nanometres. */
enum { DECIMALS = 9, DIGITS = 12 };

/* jansson refuses a NULL value, so that one failed allocation shows in the next set. */
static void set(json_t *object, bool *good, const char *key, json_t *value)
{
    *good = json_object_set_new(object, key, value) == 0 && *good;
}

static void append(json_t *array, bool *good, json_t *value)
{
    *good = json_array_append_new(array, value) == 0 && *good;
}

static json_t *whole(json_t *object, bool good)
{
    if (good)
        return object;
    json_decref(object);
    return NULL;
}

static json_t *number(double value)
{
    return isfinite(value) && fabs(value) < 1e9 ? json_real(sw_num_round(value, DECIMALS) + 0.0)
                                                : json_null();
}

static json_t *number_if(bool is_known, double value)
{
    return is_known ? number(value) : json_null();
}

static json_t *text(const char *value)
{
    return value ? json_string(value) : json_null();
}

static json_t *count(double n)
{
    return json_integer((json_int_t)n);
}

/* A value with how far off it may be, 95 times of 100. */
static json_t *doubted(bool is_known, const struct sw_gauge_value *value)
{
    if (!is_known)
        return json_null();
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "value", number(value->value));
    set(object, &good, "plus_minus", number(SW_GAUGE_COVERAGE * value->u));
    return whole(object, good);
}

static json_t *station(int number)
{
    return number > 0 ? json_integer(number) : json_null();
}

static const char *section_name(const struct sw_sheet *sheet, size_t section)
{
    return sheet->plan->shape->staff->section[section].name;
}

static json_t *reading_json(const struct sw_gauge_cut *cut, const struct sw_sheet *sheet)
{
    static const char *const stages[] = {"turned", "stoned", "burnished"};
    struct sw_gauge_value taper;
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "piece", count(cut->reading->piece.value));
    set(object, &good, "variant", text(cut->variant));
    set(object, &good, "section", text(section_name(sheet, cut->section)));
    set(object, &good, "stage", text(stages[cut->reading->stage.value]));
    set(object, &good, "side", station(cut->side));
    set(object, &good, "station", station(cut->station));
    set(object, &good, "expected_mm", number(cut->expected));
    set(object, &good, "found_mm", number(sw_gauged_diameter(cut->reading)));
    set(object, &good, "plus_minus_mm", number(SW_GAUGE_COVERAGE * cut->u_gauge));
    set(object, &good, "lower_mm", number(cut->lower));
    set(object, &good, "upper_mm", number(cut->upper));
    set(object, &good, "taper", doubted(sw_gauge_taper(&taper, cut), &taper));
    return whole(object, good);
}

static json_t *tool_json(const struct sw_gauge_tool *tool, const struct sw_sheet *sheet)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "side", json_integer(tool->side));
    set(object, &good, "station", json_integer(tool->station));
    set(object, &good, "tool", text(sw_correct_tool_name(sheet, tool->side, tool->station)));
    set(object, &good, "readings", count((double)tool->n));
    set(object, &good, "off_radius_mm", doubted(tool->n > 0, &tool->offset));
    set(object, &good, "add_x_radius_mm", number_if(tool->is_sure, -tool->offset.value));
    set(object, &good, "height_mm",
        number_if(tool->knows_height, tool->has_height ? sqrt(tool->height_2.value) : 0));
    set(object, &good, "drift_mm_per_piece", doubted(tool->knows_drift, &tool->drift));
    set(object, &good, "drifts", json_boolean(tool->drifts));
    set(object, &good, "scatter_mm", number_if(tool->knows_drift, tool->scatter));
    set(object, &good, "limit_piece", number_if(tool->drifts, tool->limit_piece));
    set(object, &good, "limit_section",
        text(tool->drifts ? section_name(sheet, tool->limit_section) : NULL));
    return whole(object, good);
}

static json_t *mark_json(const struct sw_gauge_mark *mark)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "piece", count(mark->piece));
    set(object, &good, "error_mm", number(mark->error));
    set(object, &good, "signal", text(sw_chart_signal_word(mark->signal)));
    return whole(object, good);
}

static json_t *chart_json(const struct sw_gauge_series *series, const struct sw_sheet *sheet)
{
    const struct sw_gauge_chart *chart = &series->chart;
    json_t *object = json_object(), *marks = json_array();
    bool good = object, is_good = marks;
    for (size_t i = 0; i < series->n; i++)
        append(marks, &is_good, mark_json(&series->at[i]));
    set(object, &good, "side", json_integer(series->side));
    set(object, &good, "station", json_integer(series->station));
    set(object, &good, "section", text(section_name(sheet, series->section)));
    set(object, &good, "mean_mm", number_if(series->n > 1, chart->centre));
    set(object, &good, "lower_control_mm", number_if(series->has_limits, chart->lower));
    set(object, &good, "upper_control_mm", number_if(series->has_limits, chart->upper));
    set(object, &good, "deviation_mm", number_if(series->has_limits, chart->sigma));
    set(object, &good, "is_provisional", json_boolean(series->n < SW_CHART_ENOUGH));
    set(object, &good, "signal", text(sw_chart_signal_word(series->signal)));
    set(object, &good, "is_close", json_boolean(series->is_close));
    set(object, &good, "values", whole(marks, is_good));
    return whole(object, good);
}

static json_t *length_json(const struct sw_gauge_stretch *stretch)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "piece", count(stretch->reading->piece.value));
    set(object, &good, "from", text(stretch->from.name));
    set(object, &good, "to", text(stretch->to.name));
    set(object, &good, "expected_mm", number(stretch->expected));
    set(object, &good, "found_mm", number(stretch->reading->length.value));
    set(object, &good, "plus_minus_mm", number(SW_GAUGE_COVERAGE * stretch->u_gauge));
    set(object, &good, "lower_mm", number(stretch->lower));
    set(object, &good, "upper_mm", number(stretch->upper));
    return whole(object, good);
}

static json_t *axis_json(const struct sw_gauge_axis *axis, const struct sw_sheet *sheet)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "side", json_integer(axis->side));
    set(object, &good, "station", json_integer(axis->station));
    set(object, &good, "tool", text(sw_correct_tool_name(sheet, axis->side, axis->station)));
    set(object, &good, "lengths", count((double)axis->z.n));
    set(object, &good, "is_reference", json_boolean(axis->is_reference));
    set(object, &good, "off_mm", doubted(axis->z.is_known && !axis->is_reference, &axis->z.offset));
    set(object, &good, "add_z_mm", number_if(axis->is_sure, -axis->z.offset.value));
    return whole(object, good);
}

static json_t *root_json(const struct sw_correction *correction, const struct sw_sheet *sheet,
                         bool is_clean)
{
    json_t *object = json_object(), *readings = json_array(), *tools = json_array();
    json_t *charts = json_array(), *lengths = json_array(), *axes = json_array();
    bool good = object, is_good = readings && tools && charts && lengths && axes;
    for (size_t i = 0; i < correction->n_cuts; i++)
        append(readings, &is_good, reading_json(&correction->cut[i], sheet));
    for (size_t i = 0; i < correction->n_tools; i++)
        append(tools, &is_good, tool_json(&correction->tool[i], sheet));
    for (size_t i = 0; i < correction->n_series; i++)
        append(charts, &is_good, chart_json(&correction->series[i], sheet));
    for (size_t i = 0; i < correction->n_stretches; i++)
        append(lengths, &is_good, length_json(&correction->stretch[i]));
    for (size_t i = 0; i < correction->n_axes; i++)
        append(axes, &is_good, axis_json(&correction->axis[i], sheet));
    set(object, &good, "format", json_string("staffwright.correct/1"));
    set(object, &good, "version", text(sheet->version));
    set(object, &good, "clean", json_boolean(is_clean));
    set(object, &good, "readings", readings);
    set(object, &good, "tools", tools);
    set(object, &good, "charts", charts);
    set(object, &good, "lengths", lengths);
    set(object, &good, "z", axes);
    return whole(object, good && is_good);
}

static int add_bytes(const char *bytes, size_t size, void *out)
{
    sw_buf_addn(out, bytes, size);
    return ((const struct sw_buf *)out)->failed ? -1 : 0;
}

enum sw_status sw_report_correction_json(struct sw_buf *out, const struct sw_correction *correction,
                                         const struct sw_sheet *sheet, bool is_clean)
{
    json_t *root = root_json(correction, sheet, is_clean);
    const bool good = root && json_dump_callback(root, add_bytes, out,
                                                 JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    json_decref(root);
    sw_buf_add(out, "\n");
    return good && !out->failed ? SW_OK : SW_MEMORY;
}
