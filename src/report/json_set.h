/* json_set: putting values into jansson's objects and arrays so that one failure is noticed once.
 *
 * GOOD begins as "the object is there" and becomes false with the first value that could not be
 * made or put in; sw_json_whole then drops the object and gives NULL, which the next level notices
 * in the same way. Values are handed over, also when putting them in fails.
 * For the files of report that write JSON. Numbers have no units here. Ownership: as in jansson, objects
 * belong to the caller until they are put into another.
 */
#ifndef SW_REPORT_JSON_SET_H
#define SW_REPORT_JSON_SET_H

#include <jansson.h>
#include <stdbool.h>
#include <stdint.h>

/** Put VALUE in; jansson refuses a NULL, so that a failed allocation shows here. */
void sw_json_set(json_t *object, bool *good, const char *key, json_t *value);
void sw_json_append(json_t *array, bool *good, json_t *value);

/** OBJECT when all is GOOD; otherwise it is dropped and NULL given. */
json_t *sw_json_whole(json_t *object, bool good);

/** VALUE to DECIMALS places, never -0; null when it is not finite. */
json_t *sw_json_number(double value, int decimals);

/** Null when there is no text. */
json_t *sw_json_text(const char *text);

/** A line, a column, a count that begins at 1; null for 0. */
json_t *sw_json_count(uint32_t value);

#endif
