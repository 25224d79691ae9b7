#include <jansson.h>
#include <math.h>

#include "base/num.h"
#include "report/size.h"

enum { DECIMALS = 6, DIGITS = 12 };

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

static json_t *text(const char *value)
{
    return value ? json_string(value) : json_null();
}

static json_t *pair(double least, double most)
{
    json_t *array = json_array();
    bool good = array;
    append(array, &good, number(least));
    append(array, &good, number(most));
    return whole(array, good);
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
            set(object, &is_good, "source", json_string(know->doubt[i].says));
            set(object, &is_good, "plus_minus", number(know->doubt[i].half));
            set(object, &is_good, "share", number(share));
            append(array, &good, whole(object, is_good));
        }
        last = best;
    }
    return whole(array, good);
}

static json_t *improve_json(const struct sw_size *size, const struct sw_knowledge *know)
{
    if (size->fits || size->improve >= SW_GUM_MOST)
        return json_null();
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "source", json_string(know->doubt[size->improve].says));
    set(object, &good, "plus_minus_now", number(know->doubt[size->improve].half));
    set(object, &good, "plus_minus_wanted",
        size->improve_to > 0 ? number(size->improve_to) : json_null());
    set(object, &good, "all_to", number(size->shrink));
    return whole(object, good);
}

static json_t *size_json(const struct sw_size *size, enum sw_size_id id,
                         const struct sw_knowledge *know)
{
    json_t *object = json_object();
    bool good = object;
    const bool has_band = size->band > 0;
    set(object, &good, "name", json_string(sw_size_says(id)));
    set(object, &good, "value", number(size->value));
    set(object, &good, "from", json_string(sw_origin_says(size->origin)));
    set(object, &good, "why", json_string(size->why));
    set(object, &good, "standard_uncertainty", number(size->u));
    set(object, &good, "expanded_uncertainty", number(size->expanded));
    set(object, &good, "tolerance", has_band ? number(size->tolerance) : json_null());
    set(object, &good, "band", has_band ? number(size->band) : json_null());
    set(object, &good, "band_is", text(size->band_says));
    set(object, &good, "fits_band", json_boolean(size->fits));
    set(object, &good, "improve", improve_json(size, know));
    set(object, &good, "doubt", shares_json(size, know));
    return whole(object, good);
}

static json_t *clash_json(const struct sw_clash *clash)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "about", json_string(clash->what));
    set(object, &good, "one", json_string(clash->a));
    set(object, &good, "one_says", number(clash->value_a));
    set(object, &good, "one_u", number(clash->u_a));
    set(object, &good, "other", json_string(clash->b));
    set(object, &good, "other_says", number(clash->value_b));
    set(object, &good, "other_u", number(clash->u_b));
    set(object, &good, "normalised_difference", number(clash->normalised));
    set(object, &good, "chi_square", number(clash->chi_square));
    set(object, &good, "degrees_of_freedom", number(clash->dof));
    set(object, &good, "chance", number(clash->chance));
    set(object, &good, "is_sure", json_boolean(clash->is_sure));
    set(object, &good, "is_old_staff", json_boolean(clash->is_old));
    set(object, &good, "suspect", text(clash->suspect));
    set(object, &good, "line", clash->at.line ? count(clash->at.line) : json_null());
    return whole(object, good);
}

static json_t *next_json(const struct sw_next *next)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "measure", json_string(sw_reading_info[next->kind].key));
    set(object, &good, "worth", number(next->worth));
    set(object, &good, "decides", json_string(sw_size_says(next->size)));
    set(object, &good, "share", number(next->share));
    set(object, &good, "plus_minus_now", number(next->half));
    set(object, &good, "plus_minus_wanted", next->wanted > 0 ? number(next->wanted) : json_null());
    set(object, &good, "is_proposed", json_boolean(next->is_proposed));
    return whole(object, good);
}

static json_t *item_json(const struct sw_fit_item *item)
{
    static const char *const verdict[] = {"good", "outside", "fails", "information"};
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "name", json_string(item->name));
    set(object, &good, "unit", json_string(item->unit));
    set(object, &good, "value", number(item->value));
    set(object, &good, "wanted", pair(item->least, item->most));
    set(object, &good, "needed", pair(item->never_under, item->never_over));
    set(object, &good, "rule", text(item->rule));
    set(object, &good, "worst", pair(item->worst_low, item->worst_high));
    set(object, &good, "rss", number(item->rss));
    set(object, &good, "interval_95", pair(item->low, item->high));
    set(object, &good, "chance", number(item->chance));
    set(object, &good, "verdict", json_string(verdict[item->verdict]));
    set(object, &good, "most_doubt", text(item->most_doubt));
    return whole(object, good);
}

static json_t *fit_json(const struct sw_fit *fit)
{
    if (!fit)
        return json_null();
    json_t *items = json_array();
    bool good = items;
    for (size_t i = 0; i < fit->n; i++)
        append(items, &good, item_json(&fit->item[i]));
    json_t *object = json_object();
    good = object && good;
    set(object, &good, "trials", count(fit->trials));
    set(object, &good, "seed", json_integer((json_int_t)fit->seed));
    set(object, &good, "chance_within_limits", number(fit->chance_all));
    set(object, &good, "chance_together", number(fit->chance_together));
    set(object, &good, "items", whole(items, good));
    return whole(object, good);
}

static json_t *missing_json(const struct sw_sizing *sizing)
{
    json_t *array = json_array();
    bool good = array;
    for (size_t i = 0; i < sizing->missing.n; i++) {
        json_t *object = json_object();
        bool is_good = object;
        set(object, &is_good, "size", json_string(sw_size_says(sizing->missing.at[i].size)));
        set(object, &is_good, "measure", json_string(sizing->missing.at[i].needs));
        append(array, &good, whole(object, is_good));
    }
    return whole(array, good);
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
            append(sizes, &good, size_json(&sizing->size[id], (enum sw_size_id)id, sizing->know));
    for (size_t i = 0; good && i < sizing->know->clash.n; i++)
        append(clashes, &good, clash_json(&sizing->know->clash.at[i]));
    for (size_t i = 0; good && i < sizing->refused.n; i++)
        append(refused, &good, json_string(sizing->refused.at[i]));
    for (size_t i = 0; good && i < sizing->next.n; i++)
        append(next, &good, next_json(&sizing->next.at[i]));

    json_t *root = json_object();
    good = root && good;
    set(root, &good, "format", json_string("staffwright.size/1"));
    set(root, &good, "version", json_string(version));
    set(root, &good, "name", json_string(sizing->survey->name));
    set(root, &good, "staff", text(staff_file));
    set(root, &good, "is_complete", json_boolean(sizing->is_writable));
    set(root, &good, "sizes", sizes);
    set(root, &good, "contradictions", clashes);
    set(root, &good, "refused", refused);
    set(root, &good, "missing", missing_json(sizing));
    set(root, &good, "next", next);
    set(root, &good, "fit", fit_json(fit));
    good = good && json_dump_callback(root, add_bytes, out,
                                      JSON_INDENT(2) | JSON_REAL_PRECISION(DIGITS)) == 0;
    sw_buf_add(out, "\n");
    json_decref(root);
    return good && !out->failed ? SW_OK : SW_MEMORY;
}
