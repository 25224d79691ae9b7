#include "part/survey_raw.h"

/* Ranges catch slips of the pen, not taste: heights and stand-offs may be 0. */
#define READ_RANGE SW_RANGE(0, 50)
#define DOUBT_RANGE SW_RANGE(0.0001, 1)

static const char *const shapes[] = {"straight", "olive", NULL};
static const char *const layouts[] = {"spring-above", "spring-below", NULL};
static const char *const fixings[] = {"riveted", "driven", "friction", NULL};
static const char *const metals[] = {"brass", "steel", NULL};
static const char *const ends[] = {"dome", "flat", NULL};

#define DOUBT_FIELDS                                                                               \
    {SW_F_NUMBER(struct raw_reading, plus_minus, LENGTH), DOUBT_RANGE,                             \
     SW_MEANS("It lies surely within this much of what was read; usual bench values stand in "     \
              "when neither this nor `uncertainty` is given.")},                                   \
        {SW_F_NUMBER(struct raw_reading, uncertainty, LENGTH), SW_RANGE(0.00005, 1),               \
         SW_MEANS(                                                                                 \
             "Standard uncertainty, as a calibration certificate or a series of trials gives "     \
             "it; in place of `plus_minus`.")},                                                    \
    {                                                                                              \
        SW_F_TEXT(struct raw_reading, by), SW_MEANS("What it was read with, for reports.")         \
    }
#define READS_FIELDS                                                                               \
    {SW_F_NUMBER(struct raw_reading, reads, LENGTH), READ_RANGE, SW_MEANS("What was read.")},      \
    {                                                                                              \
        SW_F_NUMBERS(struct raw_reading, repeats, LENGTH), READ_RANGE,                             \
            SW_MEANS("Readings repeated from a fresh start, in place of `reads`; their spread is " \
                     "doubt of its own.")                                                          \
    }

static const struct sw_field length_fields[] = {READS_FIELDS, DOUBT_FIELDS};

static const struct sw_field hole_fields[] = {
    READS_FIELDS,
    {SW_F_NUMBER(struct raw_reading, goes, LENGTH), SW_RANGE(0.01, 20),
     SW_MEANS("The thickest pin that goes in, with `stops` in place of `reads`.")},
    {SW_F_NUMBER(struct raw_reading, stops, LENGTH), SW_RANGE(0.01, 20),
     SW_MEANS("The thinnest pin that does not go in.")},
    DOUBT_FIELDS,
};

static const struct sw_field jewel_fields[] = {
    READS_FIELDS,
    DOUBT_FIELDS,
    {SW_F_WORD(struct raw_reading, shape, shapes), SW_DEFAULT("straight"),
     SW_MEANS("Form of the hole: `straight`, or `olive`, rounded so that its middle works.")},
};

static const struct sw_field ratio_fields[] = {
    {SW_F_NUMBER(struct raw_reading, reads, RATIO), SW_RANGE(0.0001, 0.2),
     SW_MEANS("What was read, like 1/100.")},
    {SW_F_NUMBER(struct raw_reading, plus_minus, RATIO), SW_RANGE(0.0001, 0.2),
     SW_MEANS("It lies surely within this much of what was read.")},
    {SW_F_TEXT(struct raw_reading, by), SW_MEANS("What it was read with, for reports.")},
};

#define X(name_, key, fields, half_, says_, sentence_)                                             \
    static const struct sw_table table_##key = {.name = #key,                                      \
                                                .sentence = (sentence_),                           \
                                                .size = sizeof(struct raw_reading),                \
                                                SW_FIELDS(fields##_fields)};
SW_READING_LIST(X)
#undef X

/* In the order of enum sw_reading_kind. */
static const struct sw_table *const reading_tables[] = {
#define X(name_, key, fields, half_, says_, sentence_) &table_##key,
    SW_READING_LIST(X)
#undef X
        NULL};

const struct sw_reading_info sw_reading_info[SW_N_READINGS] = {
#define X(name_, key_, fields, half_, says_, sentence_) {#key_, says_, sentence_, half_},
    SW_READING_LIST(X)
#undef X
};

bool sw_reading_is_old(enum sw_reading_kind kind)
{
    return kind >= SW_READ_OLD_TOTAL;
}

#define FIXING_MEANS                                                                               \
    SW_MEANS("How the balance is held: `riveted`, `driven` on tightly without a rivet, or "        \
             "`friction`: the staff is pressed into a hub that stays in the balance.")
#define METAL_MEANS SW_MEANS("What the roller is made of, for the pressure at its bore.")
#define READINGS_MEANS                                                                             \
    SW_MEANS("What was measured, one item a reading; any may be missing or stand more than once.")
enum { MOST_READINGS = 100 };

static const struct sw_field parts_fields[] = {
    {SW_F_WORD(struct sw_parts_raw, fixing, fixings), SW_DEFAULT("riveted"), FIXING_MEANS},
    {SW_F_WORD(struct sw_parts_raw, roller_metal, metals), SW_DEFAULT("brass"), METAL_MEANS},
    {SW_F_VARIANT(struct sw_parts_raw, readings, reading_tables), SW_RANGE(1, MOST_READINGS),
     SW_REQUIRED, READINGS_MEANS},
};

const struct sw_table sw_parts_table = {
    .name = "parts",
    .sentence = "The measured parts that a staff has to fit, so that its fits can be checked.",
    .size = sizeof(struct sw_parts_raw),
    SW_FIELDS(parts_fields),
};

static const struct sw_field survey_fields[] = {
    {SW_F_TEXT(struct raw_survey, name), SW_NAME_RANGE, SW_REQUIRED,
     SW_MEANS("What the staff will be called.")},
    {SW_F_TEXT(struct raw_survey, material), SW_DEFAULT("carbon-steel-blue"),
     SW_MEANS("What the staff will be made of, as `list materials` shows them.")},
    {SW_F_WORD(struct raw_survey, layout, layouts), SW_DEFAULT("spring-above"),
     SW_MEANS("Whether the hairspring lies above or below the balance.")},
    {SW_F_WORD(struct raw_survey, pivot_ends, ends), SW_DEFAULT("dome"),
     SW_MEANS("Form of both pivot ends.")},
    {SW_F_NUMBER(struct raw_survey, end_shake, LENGTH), SW_RANGE(0.005, 0.2), SW_DEFAULT("0.025"),
     SW_MEANS("End shake wanted; 0.02 to 0.03 in fine watches.")},
    {.key = "fixing",
     .kind = SW_FIELD_WORD,
     .offset = offsetof(struct raw_survey, parts.fixing),
     .words = fixings,
     SW_DEFAULT("riveted"),
     FIXING_MEANS},
    {.key = "roller_metal",
     .kind = SW_FIELD_WORD,
     .offset = offsetof(struct raw_survey, parts.roller_metal),
     .words = metals,
     SW_DEFAULT("brass"),
     METAL_MEANS},
    {.key = "readings",
     .kind = SW_FIELD_VARIANT,
     .offset = offsetof(struct raw_survey, parts.readings),
     .variants = reading_tables,
     SW_RANGE(1, MOST_READINGS),
     SW_REQUIRED,
     READINGS_MEANS},
};

const struct sw_table sw_survey_table = {
    .name = "survey/1",
    .sentence = "What was measured in a movement whose balance staff is broken; `size` works out "
                "the staff.",
    .size = sizeof(struct raw_survey),
    SW_FIELDS(survey_fields),
};
