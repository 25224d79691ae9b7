/* survey_raw: a survey as its field tables fill it; nobody but survey*.c includes it. */
#ifndef SW_PART_SURVEY_RAW_H
#define SW_PART_SURVEY_RAW_H

#include "part/survey.h"

/* One record serves every kind of reading; each table lists the keys that its kind knows. */
struct raw_reading {
    struct sw_number reads;
    struct sw_list repeats; /* struct sw_number */
    struct sw_number goes;
    struct sw_number stops;
    struct sw_number plus_minus;
    struct sw_number uncertainty;
    struct sw_choice shape;
    struct sw_text by;
};

struct raw_survey {
    struct sw_text name;
    struct sw_text material;
    struct sw_choice layout;
    struct sw_choice pivot_ends;
    struct sw_number end_shake;
    struct sw_parts_raw parts;
};

#endif
