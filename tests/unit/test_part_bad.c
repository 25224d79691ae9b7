/* Every malformed staff under tests/bad/staff has its exact diagnostics beside it. */
#include "test_part_fixture.h"

#include <dirent.h>

enum { MOST_FILES = 200, LONGEST = 128 };

struct names {
    char at[MOST_FILES][LONGEST];
    size_t n;
};

static int by_name(const void *a, const void *b)
{
    return strcmp(a, b);
}

static void list_bad_staffs(struct names *names)
{
    DIR *folder = opendir(SW_SOURCE_DIR "/tests/bad/staff");
    assert_non_null(folder);
    names->n = 0;
    for (const struct dirent *entry = readdir(folder); entry; entry = readdir(folder)) {
        const size_t size = strlen(entry->d_name);
        if (size < 6 || strcmp(entry->d_name + size - 5, ".yaml") != 0)
            continue;
        assert_true(names->n < MOST_FILES && size < LONGEST);
        memcpy(names->at[names->n], entry->d_name, size - 5);
        names->at[names->n++][size - 5] = '\0';
    }
    closedir(folder);
    qsort(names->at, names->n, LONGEST, by_name);
}

/* The worst thing reported, as the status it must give. */
static enum sw_status status_for(const struct sw_diag *diag)
{
    enum sw_status status = SW_OK;
    for (size_t i = 0; i < sw_diag_n(diag); i++) {
        const struct sw_diag_record *record = sw_diag_at(diag, i);
        if (record->severity != SW_ERROR)
            continue;
        const bool is_fit = strcmp(record->code, "part.pivot-hole") == 0 ||
                            strcmp(record->code, "part.cone-touches-jewel") == 0 ||
                            strcmp(record->code, "part.relief-fit") == 0;
        if (!is_fit)
            return SW_INPUT;
        status = SW_FOUND;
    }
    return status;
}

static void check_one(const char *name, char *codes, size_t codes_size)
{
    struct sw_ctx ctx = sw_test_ctx();
    char bare[LONGEST + 8];
    snprintf(bare, sizeof bare, "%s.yaml", name);
    const char *text = read_repo_file("tests/bad/staff", name, ".yaml", &ctx);
    const char *expected = read_repo_file("tests/bad/staff", name, ".expected", &ctx);
    struct sw_staff *staff = NULL;
    const enum sw_status status = sw_staff_parse(&staff, bare, text, strlen(text), &ctx);
    const char *got = sw_test_diagnostics(&ctx);
    if (strcmp(got, expected) != 0)
        fail_msg("%s: got\n%sexpected\n%s", name, got, expected);
    assert_true(strlen(got) > 0);
    assert_int_equal(status, status_for(ctx.diag));
    assert_int_equal(staff != NULL, status != SW_INPUT);
    for (size_t i = 0; i < sw_diag_n(ctx.diag); i++) {
        const struct sw_diag_record *record = sw_diag_at(ctx.diag, i);
        assert_true(record->at.line > 0 && record->at.column > 0);
        assert_true(strlen(codes) + strlen(record->code) + 2 < codes_size);
        strcat(strcat(codes, record->code), " ");
    }
    sw_test_ctx_free(&ctx);
}

static void each_bad_staff_gets_exactly_the_diagnostics_beside_it(void **state)
{
    (void)state;
    static const char *const wanted[] = {"part.bevel",
                                         "part.cone-alone",
                                         "part.cone-near-jewel",
                                         "part.cone-radius",
                                         "part.cone-short",
                                         "part.cone-touches-jewel",
                                         "part.groove",
                                         "part.groove-beside",
                                         "part.height-at-tip",
                                         "part.height-beyond",
                                         "part.height-order",
                                         "part.hub-land",
                                         "part.lip",
                                         "part.no-body",
                                         "part.no-length",
                                         "part.no-pivot",
                                         "part.no-shoulder",
                                         "part.open-chain",
                                         "part.pivot-hole",
                                         "part.pivot-inside",
                                         "part.pivot-over-ridge",
                                         "part.recess-deep",
                                         "part.recess-wall",
                                         "part.relief",
                                         "part.relief-fit",
                                         "part.rivet-alone",
                                         "part.rivet-thin",
                                         "part.root-over-ridge",
                                         "part.root-over-shoulder",
                                         "part.same-border",
                                         "part.same-name",
                                         "part.side-shake",
                                         "part.slope-alone",
                                         "part.taper",
                                         "part.taper-end",
                                         "part.tip",
                                         "part.tolerance",
                                         "part.two-free",
                                         "part.two-hubs",
                                         "part.underside",
                                         "part.unknown-height",
                                         "part.unusual"};
    struct names *names = malloc(sizeof *names);
    char *codes = calloc(1, 1 << 16);
    assert_non_null(names);
    assert_non_null(codes);
    list_bad_staffs(names);
    assert_true(names->n >= 60);
    for (size_t i = 0; i < names->n; i++)
        check_one(names->at[i], codes, 1 << 16);
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) {
        char word[64];
        snprintf(word, sizeof word, "%s ", wanted[i]);
        if (!strstr(codes, word))
            fail_msg("no bad staff shows %s", wanted[i]);
    }
    free(codes);
    free(names);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_bad_staff_gets_exactly_the_diagnostics_beside_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
