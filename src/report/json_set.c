#include "report/json_set.h"

#include <math.h>

#include "base/num.h"

void sw_json_set(json_t *object, bool *good, const char *key, json_t *value)
{
    *good = json_object_set_new(object, key, value) == 0 && *good;
}

void sw_json_append(json_t *array, bool *good, json_t *value)
{
    *good = json_array_append_new(array, value) == 0 && *good;
}

json_t *sw_json_whole(json_t *object, bool good)
{
    if (good)
        return object;
    json_decref(object);
    return NULL;
}

json_t *sw_json_number(double value, int decimals)
{
    return isfinite(value) ? json_real(sw_num_round(value, decimals) + 0.0) : json_null();
}

json_t *sw_json_text(const char *text)
{
    return text ? json_string(text) : json_null();
}

json_t *sw_json_count(uint32_t value)
{
    return value ? json_integer((json_int_t)value) : json_null();
}
