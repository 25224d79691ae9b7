#include <math.h>

#include "report/correct_int.h"
#include "report/json_set.h"

/* Doubt of a drift a piece is a few nanometres. */
enum { DECIMALS = 9, DIGITS = 12 };

static json_t *number(double value)
{
    return fabs(value) < 1e9 ? sw_json_number(value, DECIMALS) : json_null();
}

static json_t *number_if(bool is_known, double value)
{
    return is_known ? number(value) : json_null();
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
    sw_json_set(object, &good, "value", number(value->value));
    sw_json_set(object, &good, "plus_minus", number(SW_GAUGE_COVERAGE * value->u));
    return sw_json_whole(object, good);
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
    sw_json_set(object, &good, "piece", count(cut->reading->piece.value));
    sw_json_set(object, &good, "variant", sw_json_text(cut->variant));
    sw_json_set(object, &good, "section", sw_json_text(section_name(sheet, cut->section)));
    sw_json_set(object, &good, "stage", sw_json_text(stages[cut->reading->stage.value]));
    sw_json_set(object, &good, "side", station(cut->side));
    sw_json_set(object, &good, "station", station(cut->station));
    sw_json_set(object, &good, "expected_mm", number(cut->expected));
    sw_json_set(object, &good, "found_mm", number(sw_gauged_diameter(cut->reading)));
    sw_json_set(object, &good, "plus_minus_mm", number(SW_GAUGE_COVERAGE * cut->u_gauge));
    sw_json_set(object, &good, "lower_mm", number(cut->lower));
    sw_json_set(object, &good, "upper_mm", number(cut->upper));
    sw_json_set(object, &good, "taper", doubted(sw_gauge_taper(&taper, cut), &taper));
    return sw_json_whole(object, good);
}

static json_t *tool_json(const struct sw_gauge_tool *tool, const struct sw_sheet *sheet)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "side", json_integer(tool->side));
    sw_json_set(object, &good, "station", json_integer(tool->station));
    sw_json_set(object, &good, "tool",
                sw_json_text(sw_correct_tool_name(sheet, tool->side, tool->station)));
    sw_json_set(object, &good, "readings", count((double)tool->n));
    sw_json_set(object, &good, "off_radius_mm", doubted(tool->n > 0, &tool->offset));
    sw_json_set(object, &good, "add_x_radius_mm", number_if(tool->is_sure, -tool->offset.value));
    sw_json_set(object, &good, "height_mm",
                number_if(tool->knows_height, tool->has_height ? sqrt(tool->height_2.value) : 0));
    sw_json_set(object, &good, "drift_mm_per_piece", doubted(tool->knows_drift, &tool->drift));
    sw_json_set(object, &good, "drifts", json_boolean(tool->drifts));
    sw_json_set(object, &good, "scatter_mm", number_if(tool->knows_drift, tool->scatter));
    sw_json_set(object, &good, "limit_piece", number_if(tool->drifts, tool->limit_piece));
    sw_json_set(object, &good, "limit_section",
                sw_json_text(tool->drifts ? section_name(sheet, tool->limit_section) : NULL));
    return sw_json_whole(object, good);
}

static json_t *mark_json(const struct sw_gauge_mark *mark)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "piece", count(mark->piece));
    sw_json_set(object, &good, "error_mm", number(mark->error));
    sw_json_set(object, &good, "signal", sw_json_text(sw_chart_signal_word(mark->signal)));
    return sw_json_whole(object, good);
}

static json_t *chart_json(const struct sw_gauge_series *series, const struct sw_sheet *sheet)
{
    const struct sw_gauge_chart *chart = &series->chart;
    json_t *object = json_object(), *marks = json_array();
    bool good = object, is_good = marks;
    for (size_t i = 0; i < series->n; i++)
        sw_json_append(marks, &is_good, mark_json(&series->at[i]));
    sw_json_set(object, &good, "side", json_integer(series->side));
    sw_json_set(object, &good, "station", json_integer(series->station));
    sw_json_set(object, &good, "section", sw_json_text(section_name(sheet, series->section)));
    sw_json_set(object, &good, "mean_mm", number_if(series->n > 1, chart->centre));
    sw_json_set(object, &good, "lower_control_mm", number_if(series->has_limits, chart->lower));
    sw_json_set(object, &good, "upper_control_mm", number_if(series->has_limits, chart->upper));
    sw_json_set(object, &good, "deviation_mm", number_if(series->has_limits, chart->sigma));
    sw_json_set(object, &good, "is_provisional", json_boolean(series->n < SW_CHART_ENOUGH));
    sw_json_set(object, &good, "signal", sw_json_text(sw_chart_signal_word(series->signal)));
    sw_json_set(object, &good, "is_close", json_boolean(series->is_close));
    sw_json_set(object, &good, "values", sw_json_whole(marks, is_good));
    return sw_json_whole(object, good);
}

static json_t *length_json(const struct sw_gauge_stretch *stretch)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "piece", count(stretch->reading->piece.value));
    sw_json_set(object, &good, "from", sw_json_text(stretch->from.name));
    sw_json_set(object, &good, "to", sw_json_text(stretch->to.name));
    sw_json_set(object, &good, "expected_mm", number(stretch->expected));
    sw_json_set(object, &good, "found_mm", number(stretch->reading->length.value));
    sw_json_set(object, &good, "plus_minus_mm", number(SW_GAUGE_COVERAGE * stretch->u_gauge));
    sw_json_set(object, &good, "lower_mm", number(stretch->lower));
    sw_json_set(object, &good, "upper_mm", number(stretch->upper));
    return sw_json_whole(object, good);
}

static json_t *axis_json(const struct sw_gauge_axis *axis, const struct sw_sheet *sheet)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "side", json_integer(axis->side));
    sw_json_set(object, &good, "station", json_integer(axis->station));
    sw_json_set(object, &good, "tool",
                sw_json_text(sw_correct_tool_name(sheet, axis->side, axis->station)));
    sw_json_set(object, &good, "lengths", count((double)axis->z.n));
    sw_json_set(object, &good, "is_reference", json_boolean(axis->is_reference));
    sw_json_set(object, &good, "off_mm",
                doubted(axis->z.is_known && !axis->is_reference, &axis->z.offset));
    sw_json_set(object, &good, "add_z_mm", number_if(axis->is_sure, -axis->z.offset.value));
    return sw_json_whole(object, good);
}

static json_t *root_json(const struct sw_correction *correction, const struct sw_sheet *sheet,
                         bool is_clean)
{
    json_t *object = json_object(), *readings = json_array(), *tools = json_array();
    json_t *charts = json_array(), *lengths = json_array(), *axes = json_array();
    bool good = object, is_good = readings && tools && charts && lengths && axes;
    for (size_t i = 0; i < correction->n_cuts; i++)
        sw_json_append(readings, &is_good, reading_json(&correction->cut[i], sheet));
    for (size_t i = 0; i < correction->n_tools; i++)
        sw_json_append(tools, &is_good, tool_json(&correction->tool[i], sheet));
    for (size_t i = 0; i < correction->n_series; i++)
        sw_json_append(charts, &is_good, chart_json(&correction->series[i], sheet));
    for (size_t i = 0; i < correction->n_stretches; i++)
        sw_json_append(lengths, &is_good, length_json(&correction->stretch[i]));
    for (size_t i = 0; i < correction->n_axes; i++)
        sw_json_append(axes, &is_good, axis_json(&correction->axis[i], sheet));
    sw_json_set(object, &good, "format", json_string("staffwright.correct/1"));
    sw_json_set(object, &good, "version", sw_json_text(sheet->version));
    sw_json_set(object, &good, "clean", json_boolean(is_clean));
    sw_json_set(object, &good, "readings", readings);
    sw_json_set(object, &good, "tools", tools);
    sw_json_set(object, &good, "charts", charts);
    sw_json_set(object, &good, "lengths", lengths);
    sw_json_set(object, &good, "z", axes);
    return sw_json_whole(object, good && is_good);
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
