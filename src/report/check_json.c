/* The results of check as JSON. As in json.c: key order is fixed, what does not apply is null. */
#include "report/trial.h"

#include <jansson.h>

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

static json_t *text_or_null(const char *text)
{
    return text ? json_string(text) : json_null();
}

static json_t *count_or_null(uint32_t value)
{
    return value ? json_integer((json_int_t)value) : json_null();
}

static json_t *message_json(const struct sw_diag *diag, const struct sw_diag_record *record)
{
    static const char *const severity[] = {
        [SW_NOTE] = "note", [SW_WARNING] = "warning", [SW_ERROR] = "error"};
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "code", json_string(record->code));
    set(object, &good, "severity", json_string(severity[record->severity]));
    set(object, &good, "file", text_or_null(sw_diag_source_name(diag, record->at.source)));
    set(object, &good, "line", count_or_null(record->at.line));
    set(object, &good, "column", count_or_null(record->at.column));
    set(object, &good, "message", json_string(record->message));
    set(object, &good, "hint", text_or_null(record->hint));
    return whole(object, good);
}

static json_t *difference_json(const struct sw_trial_difference *d)
{
    json_t *object = json_object();
    bool good = object;
    set(object, &good, "event", json_integer((json_int_t)d->event));
    set(object, &good, "kind", json_string(d->kind));
    set(object, &good, "program", json_string(d->program));
    set(object, &good, "line", count_or_null(d->line));
    set(object, &good, "asked", json_string(d->asked));
    set(object, &good, "read", json_string(d->read));
    set(object, &good, "likely", json_string(d->likely));
    return whole(object, good);
}

static json_t *trial_json(const struct sw_trial *trial)
{
    if (!trial)
        return json_null();
    json_t *object = json_object(), *unused = json_array(), *differences = json_array();
    bool good = object && unused && differences;
    for (size_t i = 0; i < trial->unused.n; i++)
        append(unused, &good, json_string(trial->unused.at[i]));
    for (size_t i = 0; i < trial->differences.n; i++)
        append(differences, &good, difference_json(&trial->differences.at[i]));
    set(object, &good, "machine", json_string(trial->machine));
    set(object, &good, "events", json_integer((json_int_t)trial->n_events));
    set(object, &good, "programs", json_integer((json_int_t)trial->n_programs));
    set(object, &good, "blocks", json_integer((json_int_t)trial->n_blocks));
    set(object, &good, "unread_lines", json_integer((json_int_t)trial->n_faults));
    set(object, &good, "second_reading", text_or_null(trial->second));
    set(object, &good, "unused", unused);
    set(object, &good, "differences", differences);
    return whole(object, good);
}

static json_t *checked_json(const struct sw_report_checked *checked, const struct sw_diag *diag)
{
    json_t *object = json_object(), *messages = json_array();
    bool good = object && messages;
    for (size_t i = checked->first_record; i < checked->end_record; i++)
        append(messages, &good, message_json(diag, sw_diag_at(diag, i)));
    set(object, &good, "file", json_string(checked->file));
    set(object, &good, "kind", text_or_null(checked->kind));
    set(object, &good, "verdict", json_string(checked->verdict));
    set(object, &good, "messages", messages);
    set(object, &good, "trial", trial_json(checked->trial));
    return whole(object, good);
}

static int add_bytes(const char *bytes, size_t size, void *user)
{
    struct sw_buf *out = user;
    sw_buf_addn(out, bytes, size);
    return out->failed ? -1 : 0;
}

enum sw_status sw_report_check_json(struct sw_buf *out, const struct sw_report_checked *checked,
                                    size_t n, const char *version, const struct sw_diag *diag)
{
    json_t *object = json_object(), *files = json_array();
    bool good = object && files;
    for (size_t i = 0; i < n; i++)
        append(files, &good, checked_json(&checked[i], diag));
    set(object, &good, "format", json_string("staffwright.check/1"));
    set(object, &good, "version", json_string(version));
    set(object, &good, "files", files);
    good = good && json_dump_callback(object, add_bytes, out, JSON_INDENT(2)) == 0;
    sw_buf_add(out, "\n");
    json_decref(object);
    return good && !out->failed ? SW_OK : SW_MEMORY;
}
