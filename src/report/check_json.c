/* The results of check as JSON. As in json.c: key order is fixed, what does not apply is null. */
#include "report/trial.h"

#include "report/json_set.h"

static json_t *message_json(const struct sw_diag *diag, const struct sw_diag_record *record)
{
    static const char *const severity[] = {
        [SW_NOTE] = "note", [SW_WARNING] = "warning", [SW_ERROR] = "error"};
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "code", json_string(record->code));
    sw_json_set(object, &good, "severity", json_string(severity[record->severity]));
    sw_json_set(object, &good, "file", sw_json_text(sw_diag_source_name(diag, record->at.source)));
    sw_json_set(object, &good, "line", sw_json_count(record->at.line));
    sw_json_set(object, &good, "column", sw_json_count(record->at.column));
    sw_json_set(object, &good, "message", json_string(record->message));
    sw_json_set(object, &good, "hint", sw_json_text(record->hint));
    return sw_json_whole(object, good);
}

static json_t *difference_json(const struct sw_trial_difference *d)
{
    json_t *object = json_object();
    bool good = object;
    sw_json_set(object, &good, "event", json_integer((json_int_t)d->event));
    sw_json_set(object, &good, "kind", json_string(d->kind));
    sw_json_set(object, &good, "program", json_string(d->program));
    sw_json_set(object, &good, "line", sw_json_count(d->line));
    sw_json_set(object, &good, "asked", json_string(d->asked));
    sw_json_set(object, &good, "read", json_string(d->read));
    sw_json_set(object, &good, "likely", json_string(d->likely));
    return sw_json_whole(object, good);
}

static json_t *trial_json(const struct sw_trial *trial)
{
    if (!trial)
        return json_null();
    json_t *object = json_object(), *unused = json_array(), *differences = json_array();
    bool good = object && unused && differences;
    for (size_t i = 0; i < trial->unused.n; i++)
        sw_json_append(unused, &good, json_string(trial->unused.at[i]));
    for (size_t i = 0; i < trial->differences.n; i++)
        sw_json_append(differences, &good, difference_json(&trial->differences.at[i]));
    sw_json_set(object, &good, "machine", json_string(trial->machine));
    sw_json_set(object, &good, "events", json_integer((json_int_t)trial->n_events));
    sw_json_set(object, &good, "programs", json_integer((json_int_t)trial->n_programs));
    sw_json_set(object, &good, "blocks", json_integer((json_int_t)trial->n_blocks));
    sw_json_set(object, &good, "unread_lines", json_integer((json_int_t)trial->n_faults));
    sw_json_set(object, &good, "second_reading", sw_json_text(trial->second));
    sw_json_set(object, &good, "unused", unused);
    sw_json_set(object, &good, "differences", differences);
    return sw_json_whole(object, good);
}

static json_t *checked_json(const struct sw_report_checked *checked, const struct sw_diag *diag)
{
    json_t *object = json_object(), *messages = json_array();
    bool good = object && messages;
    for (size_t i = checked->first_record; i < checked->end_record; i++)
        sw_json_append(messages, &good, message_json(diag, sw_diag_at(diag, i)));
    sw_json_set(object, &good, "file", json_string(checked->file));
    sw_json_set(object, &good, "kind", sw_json_text(checked->kind));
    sw_json_set(object, &good, "verdict", json_string(checked->verdict));
    sw_json_set(object, &good, "messages", messages);
    sw_json_set(object, &good, "trial", trial_json(checked->trial));
    return sw_json_whole(object, good);
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
        sw_json_append(files, &good, checked_json(&checked[i], diag));
    sw_json_set(object, &good, "format", json_string("staffwright.check/1"));
    sw_json_set(object, &good, "version", json_string(version));
    sw_json_set(object, &good, "files", files);
    good = good && json_dump_callback(object, add_bytes, out, JSON_INDENT(2)) == 0;
    sw_buf_add(out, "\n");
    json_decref(object);
    return good && !out->failed ? SW_OK : SW_MEMORY;
}
