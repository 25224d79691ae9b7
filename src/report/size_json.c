#include <math.h>

#include "report/json_set.h"
#include "report/size.h"

enum { DECIMALS = 6, DIGITS = 12 };

static json_t *number(double value)
{
    return fabs(value) < 1e9 ? sw_json_number(value, DECIMALS) : json_null();
}

static json_t *pair(double least, double most)
{
    json_t *array = json_array();
    bool good = array;
    sw_json_append(array, &good, number(least));
    sw_json_append(array, &good, number(most));
    return sw_json_whole(array, good);
}

static json_t *count(size_t n)
{
    return json_integer((json_int_t)n);
}

/* What brings the doubt of a size, largest share first. */
static json_t *shares_json(const struct sw_size *size, const struct sw_knowledge *know)
{
    static const double least = 0.005; /* half a percent is not worth a line */
    json_t *array = json_array();
    bool good = array;
    double last = INFINITY;
    for (size_t n = 0; n < know->n; n++) {
        double best = 0;
        size_t at = know->n;
        for (size_t i = 0; i < know->n; i++) {
            const double share = sw_gum_share(&size->is, know->source, know->n, i);
            if (share > best && share < last) {
                best = share;
                at = i;
            }
        }
        if (at == know->n || best < least)
            break;
        /* Equal shares are listed together, in the order of the file. */
        for (size_t i = 0; i < know->n; i++) {
            const double share = sw_gum_share(&size->is, know->source, know->n, i);
            if (share < best || share > best)
                continue;
            json_t *object = json_object();
            bool is_good = object;
            sw_json_set(object, &is_good, "source", json_string(know->doubt[i].says));
            sw_json_set(object, &is_good, "plus_minus", number(know->doubt[i].half));
            sw_json_set(object, &is_good, "share", number(share));
            sw_json_append(array, &good, sw_json_whole(object, is_good));
        }
        last = best;
    }
    return sw_json_whole(array, good);
}

static json_t *improve_json(const struct sw_size *size, const struct sw_knowledge *know)
{
    if (size->fits || size->improve >= SW_GUM_MOST)
        return json_null();
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "source", json_string(know->doubt[size->improve].says));
    sw_json_set(object, &good, "plus_minus_now", number(know->doubt[size->improve].half));
    sw_json_set(object, &good, "plus_minus_wanted",
                size->improve_to > 0 ? number(size->improve_to) : json_null());
    sw_json_set(object, &good, "all_to", number(size->shrink));
    return sw_json_whole(object, good);
}

static json_t *size_json(const struct sw_size *size, enum sw_size_id id,
                         const struct sw_knowledge *know)
{
    json_t *object = json_object();
    bool good = object;
    const bool has_band = size->band > 0;
    sw_json_set(object, &good, "name", json_string(sw_size_says(id)));
    sw_json_set(object, &good, "value", number(size->value));
    sw_json_set(object, &good, "from", json_string(sw_origin_says(size->origin)));
    sw_json_set(object, &good, "why", json_string(size->why));
    sw_json_set(object, &good, "standard_uncertainty", number(size->u));
    sw_json_set(object, &good, "expanded_uncertainty", number(size->expanded));
    sw_json_set(object, &good, "tolerance", has_band ? number(size->tolerance) : json_null());
    sw_json_set(object, &good, "band", has_band ? number(size->band) : json_null());
    sw_json_set(object, &good, "band_is", sw_json_text(size->band_says));
    sw_json_set(object, &good, "fits_band", json_boolean(size->fits));
    sw_json_set(object, &good, "improve", improve_json(size, know));
    sw_json_set(object, &good, "doubt", shares_json(size, know));
    return sw_json_whole(object, good);
}

static json_t *clash_json(const struct sw_clash *clash)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "about", json_string(clash->what));
    sw_json_set(object, &good, "one", json_string(clash->a));
    sw_json_set(object, &good, "one_says", number(clash->value_a));
    sw_json_set(object, &good, "one_u", number(clash->u_a));
    sw_json_set(object, &good, "other", json_string(clash->b));
    sw_json_set(object, &good, "other_says", number(clash->value_b));
    sw_json_set(object, &good, "other_u", number(clash->u_b));
    sw_json_set(object, &good, "normalised_difference", number(clash->normalised));
    sw_json_set(object, &good, "chi_square", number(clash->chi_square));
    sw_json_set(object, &good, "degrees_of_freedom", number(clash->dof));
    sw_json_set(object, &good, "chance", number(clash->chance));
    sw_json_set(object, &good, "is_sure", json_boolean(clash->is_sure));
    sw_json_set(object, &good, "is_old_staff", json_boolean(clash->is_old));
    sw_json_set(object, &good, "suspect", sw_json_text(clash->suspect));
    sw_json_set(object, &good, "line", clash->at.line ? count(clash->at.line) : json_null());
    return sw_json_whole(object, good);
}

static json_t *next_json(const struct sw_next *next)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "measure", json_string(sw_reading_info[next->kind].key));
    sw_json_set(object, &good, "worth", number(next->worth));
    sw_json_set(object, &good, "decides", json_string(sw_size_says(next->size)));
    sw_json_set(object, &good, "share", number(next->share));
    sw_json_set(object, &good, "plus_minus_now", number(next->half));
    sw_json_set(object, &good, "plus_minus_wanted",
                next->wanted > 0 ? number(next->wanted) : json_null());
    sw_json_set(object, &good, "is_proposed", json_boolean(next->is_proposed));
    return sw_json_whole(object, good);
}

static json_t *item_json(const struct sw_fit_item *item)
{
    static const char *const verdict[] = {"good", "outside", "fails", "information"};
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "name", json_string(item->name));
    sw_json_set(object, &good, "unit", json_string(item->unit));
    sw_json_set(object, &good, "value", number(item->value));
    sw_json_set(object, &good, "wanted", pair(item->least, item->most));
    sw_json_set(object, &good, "needed", pair(item->never_under, item->never_over));
    sw_json_set(object, &good, "rule", sw_json_text(item->rule));
    sw_json_set(object, &good, "worst", pair(item->worst_low, item->worst_high));
    sw_json_set(object, &good, "rss", number(item->rss));
    sw_json_set(object, &good, "interval_95", pair(item->low, item->high));
    sw_json_set(object, &good, "chance", number(item->chance));
    sw_json_set(object, &good, "verdict", json_string(verdict[item->verdict]));
    sw_json_set(object, &good, "most_doubt", sw_json_text(item->most_doubt));
    return sw_json_whole(object, good);
}

static json_t *fit_json(const struct sw_fit *fit)
{
    if (!fit)
        return json_null();
    json_t *items = json_array();
    bool good = items;
    for (size_t i = 0; i < fit->n; i++)
        sw_json_append(items, &good, item_json(&fit->item[i]));
    json_t *object = json_object();
    good = object && good;
    sw_json_set(object, &good, "trials", count(fit->trials));
    sw_json_set(object, &good, "seed", json_integer((json_int_t)fit->seed));
    sw_json_set(object, &good, "chance_within_limits", number(fit->chance_all));
    sw_json_set(object, &good, "chance_together", number(fit->chance_together));
    sw_json_set(object, &good, "items", sw_json_whole(items, good));
    return sw_json_whole(object, good);
}

static json_t *missing_json(const struct sw_sizing *sizing)
{
    json_t *array = json_array();
    bool good = array;
    for (size_t i = 0; i < sizing->missing.n; i++) {
        json_t *object = json_object();
        bool is_good = object;
        sw_json_set(object, &is_good, "size",
                    json_string(sw_size_says(sizing->missing.at[i].size)));
        sw_json_set(object, &is_good, "measure", json_string(sizing->missing.at[i].needs));
        sw_json_append(array, &good, sw_json_whole(object, is_good));
    }
    return sw_json_whole(array, good);
}

static int add_bytes(const char *bytes, size_t size, void *out)
{
    sw_buf_addn(out, bytes, size);
    return ((const struct sw_buf *)out)->failed ? -1 : 0;
}

enum sw_status sw_report_size_json(struct sw_buf *out, const struct sw_sizing *sizing,
                                   const struct sw_fit *fit, const char *staff_file,
                                   const char *version)
{
    json_t *sizes = json_array(), *clashes = json_array(), *refused = json_array(),
           *next = json_array();
    bool good = sizes && clashes && refused && next;
    for (int id = 0; good && id < SW_N_SIZES; id++)
        if (sizing->size[id].is_there)
            sw_json_append(sizes, &good,
                           size_json(&sizing->size[id], (enum sw_size_id)id, sizing->know));
    for (size_t i = 0; good && i < sizing->know->clash.n; i++)
        sw_json_append(clashes, &good, clash_json(&sizing->know->clash.at[i]));
    for (size_t i = 0; good && i < sizing->refused.n; i++)
        sw_json_append(refused, &good, json_string(sizing->refused.at[i]));
    for (size_t i = 0; good && i < sizing->next.n; i++)
        sw_json_append(next, &good, next_json(&sizing->next.at[i]));

    json_t *root = json_object();
    good = root && good;
    sw_json_set(root, &good, "format", json_string("staffwright.size/1"));
    sw_json_set(root, &good, "version", json_string(version));
    sw_json_set(root, &good, "name", json_string(sizing->survey->name));
    sw_json_set(root, &good, "staff", sw_json_text(staff_file));
    sw_json_set(root, &good, "is_complete", json_boolean(sizing->is_writable));
    sw_json_set(root, &good, "sizes", sizes);
    sw_json_set(root, &good, "contradictions", clashes);
    sw_json_set(root, &good, "refused", refused);
    sw_json_set(root, &good, "missing", missing_json(sizing));
    sw_json_set(root, &good, "next", next);
    sw_json_set(root, &good, "fit", fit_json(fit));
    good = good && json_dump_callback(root, add_bytes, out,
                                      JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    sw_buf_add(out, "\n");
    json_decref(root);
    return good && !out->failed ? SW_OK : SW_MEMORY;
}
