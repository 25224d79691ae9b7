#include "draw/font.h"

/* A stroke is a run of points; a blank lifts the pen. A point is a figure for x (0 to 9, from the
 * left edge) and a letter for y (`a` = -3, `d` = 0 on the base line, `k` = 7, `n` = 10). `~` before
 * a point makes it the control point of a parabola that ends at the next one. */
struct glyph {
    uint32_t code;
    int width;
    const char *strokes;
};

static const struct glyph glyphs[] = {
    {' ', 3, ""},
    {'!', 1, "0n1n1g0g0n 0d0e1e1d0d"},
    {'"', 2, "0n0k 2n2k"},
    {'#', 6, "1d2n 4d5n 0g6g 0k6k"},
    {'$', 6, "6k~6m3m~0m0k~0i3i~6i6g~6e3e~0e0g 3o3c"},
    {'%', 6, "0d6n 1n~0n0m~0l1l~2l2m~2n1n 5f~4f4e~4d5d~6d6e~6f5f"},
    {'&', 6, "6d1k~0n2n~4n4l~4k2i~0h0f~0d2d~5d6h"},
    {'\'', 0, "0n0k"},
    {'(', 2, "2o~0l0i~0f2b"},
    {')', 2, "0o~2l2i~2f0b"},
    {'*', 4, "2m2g 0l4h 4l0h"},
    {'+', 6, "3k3e 0h6h"},
    {',', 1, "1e1d0b"},
    {'-', 4, "0h4h"},
    {'.', 1, "0d0e1e1d0d"},
    {'/', 4, "0b4n"},
    {'0', 5, "2n~0n0k0g~0d2d3d~5d5g5k~5n3n2n"},
    {'1', 5, "1l3n3d"},
    {'2', 5, "0l~0n2n3n~5n5k~5i0d5d"},
    {'3', 5, "0l~0n2n3n~5n5l~5i3i2i 3i~5i5g~5d3d2d~0d0f"},
    {'4', 5, "4d4n0g5g"},
    {'5', 5, "5n1n0i~1j3j~5j5g~5d2d~0d0f"},
    {'6', 5, "4n~0l0g~0d2d3d~5d5g~5j3j2j~0j0g"},
    {'7', 5, "0n5n2d"},
    {'8', 5, "2n~0n0l~0i2i3i~5i5g~5d3d2d~0d0g~0i2i 3i~5i5l~5n3n2n"},
    {'9', 5, "1d~5f5k~5n3n2n~0n0k~0h2h3h~5h5k"},
    {':', 1, "0h0i1i1h0h 0d0e1e1d0d"},
    {';', 1, "0h0i1i1h0h 1e1d0b"},
    {'<', 5, "5k0h5e"},
    {'=', 5, "0i5i 0g5g"},
    {'>', 5, "0k5h0e"},
    {'?', 5, "0l~0n2n3n~5n5l~5j2h2g 2d2e3e3d2d"},
    {'@', 8, "6j~6k4k~2k2h~2e4e~6e6h6k 6h~6e7e~8e8h~8n4n~0n0h~0d4d7d"},
    {'A', 6, "0d3n6d 1g5g"},
    {'B', 6, "0d0n3n~5n5l~5i3i0i 3i~6i6g~6d3d0d"},
    {'C', 6, "6l~6n3n~0n0k0g~0d3d~6d6f"},
    {'D', 6, "0d0n2n~6n6j6h~6d2d0d"},
    {'E', 5, "5n0n0d5d 0i4i"},
    {'F', 5, "5n0n0d 0i4i"},
    {'G', 6, "6l~6n3n~0n0k0g~0d3d~6d6g6i3i"},
    {'H', 6, "0n0d 6n6d 0i6i"},
    {'I', 0, "0n0d"},
    {'J', 4, "4n4g~4d2d~0d0g"},
    {'K', 6, "0n0d 6n0g 2i6d"},
    {'L', 5, "0n0d5d"},
    {'M', 8, "0d0n4f8n8d"},
    {'N', 6, "0d0n6d6n"},
    {'O', 6, "3n~0n0k0g~0d3d~6d6g6k~6n3n"},
    {'P', 6, "0d0n3n~6n6k~6h3h0h"},
    {'Q', 6, "3n~0n0k0g~0d3d~6d6g6k~6n3n 4g6c"},
    {'R', 6, "0d0n3n~6n6k~6h3h0h 3h6d"},
    {'S', 6, "6l~6n3n~0n0l~0j3i~6h6f~6d3d~0d0f"},
    {'T', 6, "0n6n 3n3d"},
    {'U', 6, "0n0g~0d3d~6d6g6n"},
    {'V', 6, "0n3d6n"},
    {'W', 8, "0n2d4l6d8n"},
    {'X', 6, "0d6n 0n6d"},
    {'Y', 6, "0n3i6n 3i3d"},
    {'Z', 6, "0n6n0d6d"},
    {'[', 2, "2o0o0b2b"},
    {'\\', 4, "0n4b"},
    {']', 2, "0o2o2b0b"},
    {'^', 4, "0k2n4k"},
    {'_', 5, "0b5b"},
    {'`', 2, "0n2l"},
    {'a', 5, "5i~5k3k2k~0k0i0f~0d2d3d~5d5f 5k5d"},
    {'b', 5, "0n0d 0i~0k2k3k~5k5i5f~5d3d2d~0d0f"},
    {'c', 5, "5j~5k3k2k~0k0i0f~0d2d3d~5d5e"},
    {'d', 5, "5n5d 5i~5k3k2k~0k0i0f~0d2d3d~5d5f"},
    {'e', 5, "0h5h5i~5k3k2k~0k0i0f~0d2d3d~5d5e"},
    {'f', 3, "3n2n~1n1l1d 0k3k"},
    {'g', 5, "5k5c~5a3a2a~0a0b 5i~5k3k2k~0k0i0f~0d2d3d~5d5f"},
    {'h', 5, "0n0d 0i~0k2k3k~5k5i5d"},
    {'i', 0, "0k0d 0m0n"},
    {'j', 2, "2k2c~2a0a 2m2n"},
    {'k', 5, "0n0d 5k0g 2h5d"},
    {'l', 1, "0n0f~0d1d"},
    {'m', 8, "0k0d 0i~0k2k~4k4i4d 4i~4k6k~8k8i8d"},
    {'n', 5, "0k0d 0i~0k2k3k~5k5i5d"},
    {'o', 5, "2k~0k0i0f~0d2d3d~5d5f5i~5k3k2k"},
    {'p', 5, "0k0a 0i~0k2k3k~5k5i5f~5d3d2d~0d0f"},
    {'q', 5, "5k5a 5i~5k3k2k~0k0i0f~0d2d3d~5d5f"},
    {'r', 3, "0k0d 0h~0k3k"},
    {'s', 4, "4j~4k2k~0k0j~0h2h~4h4f~4d2d~0d0e"},
    {'t', 3, "1n1f~1d3d 0k3k"},
    {'u', 5, "0k0f~0d2d3d~5d5f 5k5d"},
    {'v', 4, "0k2d4k"},
    {'w', 6, "0k2d3j4d6k"},
    {'x', 4, "0d4k 0k4d"},
    {'y', 4, "4k1a 0k2d"},
    {'z', 4, "0k4k0d4d"},
    {'{', 3, "3o2o~1o1l1k~1h0h~1h1f1d~1b2b3b"},
    {'|', 0, "0n0b"},
    {'}', 3, "0o1o~2o2l2k~2h3h~2h2f2d~2b1b0b"},
    {'~', 6, "0h~1j3h~5f6h"},
    {0xb0, 3, "1n~0n0m0l~0k1k2k~3k3l3m~3n2n1n"},
    {0xb1, 6, "3m3g 0j6j 0e6e"},
    {0xb5, 5, "0k0a 0f~0d2d3d~5d5f 5k5d"},
    {0xd7, 4, "0f4j 0j4f"},
    {0xd8, 6, "3n~0n0k0g~0d3d~6d6g6k~6n3n 0c6o"},
    {0xdf, 5, "0d0k~0n2n~4n4l~4j2i~5i5f~5d3d2d"},
    {0xe6, 8, "4i~4k2k~0k0i0f~0d2d~4d4f 4k4d 4h8h8i~8k6k~4k4i 4f~4d6d~8d8e"},
    {0xf8, 5, "2k~0k0i0f~0d2d3d~5d5f5i~5k3k2k 0c5l"},
    {0x2013, 6, "0h6h"},
    {0x2014, 8, "0h8h"},
    {0x2212, 6, "0h6h"},
    {0x2300, 7, "3m~0m0i~0e3e4e~7e7i~7m4m3m 0d7n"}, /* diameter */
};

static const char box_strokes[] = "0d0n5n5d0d";
enum { BOX_WIDTH = 5, X_HEIGHT = 7 };

/* Accents, about an origin in their middle, 4 wide; they are moved to the letter's middle. */
enum accent { GRAVE, ACUTE, HAT, TILDE, DOTS, RING, CEDILLA, N_ACCENTS };
static const char *const accent_strokes[N_ACCENTS] = {
    "0f3d", "0d3f", "0d2f4d", "0d~1f2e~3d4f", "0d0e 4d4e", "2d~0d0e~0f2f~4f4e~4d2d", "2d~4b0b"};

struct composed {
    uint32_t code;
    char letter;
    enum accent accent;
};

static const struct composed composed[] = {
    {0xc0, 'A', GRAVE},   {0xc1, 'A', ACUTE}, {0xc2, 'A', HAT},     {0xc3, 'A', TILDE},
    {0xc4, 'A', DOTS},    {0xc5, 'A', RING},  {0xc7, 'C', CEDILLA}, {0xc8, 'E', GRAVE},
    {0xc9, 'E', ACUTE},   {0xca, 'E', HAT},   {0xcb, 'E', DOTS},    {0xcc, 'I', GRAVE},
    {0xcd, 'I', ACUTE},   {0xce, 'I', HAT},   {0xcf, 'I', DOTS},    {0xd1, 'N', TILDE},
    {0xd2, 'O', GRAVE},   {0xd3, 'O', ACUTE}, {0xd4, 'O', HAT},     {0xd5, 'O', TILDE},
    {0xd6, 'O', DOTS},    {0xd9, 'U', GRAVE}, {0xda, 'U', ACUTE},   {0xdb, 'U', HAT},
    {0xdc, 'U', DOTS},    {0xdd, 'Y', ACUTE}, {0xe0, 'a', GRAVE},   {0xe1, 'a', ACUTE},
    {0xe2, 'a', HAT},     {0xe3, 'a', TILDE}, {0xe4, 'a', DOTS},    {0xe5, 'a', RING},
    {0xe7, 'c', CEDILLA}, {0xe8, 'e', GRAVE}, {0xe9, 'e', ACUTE},   {0xea, 'e', HAT},
    {0xeb, 'e', DOTS},    {0xec, 'i', GRAVE}, {0xed, 'i', ACUTE},   {0xee, 'i', HAT},
    {0xef, 'i', DOTS},    {0xf1, 'n', TILDE}, {0xf2, 'o', GRAVE},   {0xf3, 'o', ACUTE},
    {0xf4, 'o', HAT},     {0xf5, 'o', TILDE}, {0xf6, 'o', DOTS},    {0xf9, 'u', GRAVE},
    {0xfa, 'u', ACUTE},   {0xfb, 'u', HAT},   {0xfc, 'u', DOTS},    {0xfd, 'y', ACUTE},
    {0xff, 'y', DOTS},
};

uint32_t sw_font_code(const char **text)
{
    const unsigned char *at = (const unsigned char *)*text;
    const int n = at[0] < 0x80 ? 1 : at[0] < 0xc2 ? 0 : at[0] < 0xe0 ? 2 : at[0] < 0xf0 ? 3 : 0;
    uint32_t code = n == 1 ? at[0] : n == 2 ? at[0] & 0x1fu : at[0] & 0x0fu;
    for (int i = 1; i < n; i++) {
        if ((at[i] & 0xc0u) != 0x80u) {
            *text += 1;
            return 0;
        }
        code = code << 6 | (at[i] & 0x3fu);
    }
    /* Longer than need be, or half of a pair of UTF-16: no text. */
    const bool is_none = n == 0 || (n == 3 && (code < 0x800 || (code >= 0xd800 && code < 0xe000)));
    *text += n ? n : 1;
    return is_none ? 0 : code;
}

static const struct glyph *find(uint32_t code)
{
    const size_t n = sizeof glyphs / sizeof *glyphs;
    /* the table begins with the printable signs of ASCII in their order */
    if (code >= glyphs[0].code && code - glyphs[0].code < n &&
        glyphs[code - glyphs[0].code].code == code)
        return &glyphs[code - glyphs[0].code];
    for (size_t i = 0; i < n; i++)
        if (glyphs[i].code == code)
            return &glyphs[i];
    return NULL;
}

/* A dot would stand in the accent's way. */
static const char bare_i[] = "0k0d";

struct sw_font_sign sw_font_next(const char **text)
{
    return sw_font_sign_of(sw_font_code(text));
}

struct sw_font_sign sw_font_sign_of(uint32_t code)
{
    const struct glyph *glyph = find(code);
    if (glyph)
        return (struct sw_font_sign){glyph->width, glyph->strokes, "", 0, 0};
    for (size_t i = 0; i < sizeof composed / sizeof *composed; i++) {
        if (composed[i].code != code)
            continue;
        const char letter = composed[i].letter;
        glyph = find((uint32_t)(unsigned char)letter);
        const int top = letter >= 'a' ? X_HEIGHT : SW_FONT_HEIGHT;
        const int wide = letter == 'i' || letter == 'I' ? 4 : glyph->width;
        return (struct sw_font_sign){glyph->width, letter == 'i' ? bare_i : glyph->strokes,
                                     accent_strokes[composed[i].accent],
                                     (wide - 4) / 2 - (wide - glyph->width) / 2,
                                     composed[i].accent == CEDILLA ? 0 : top + 1};
    }
    return (struct sw_font_sign){BOX_WIDTH, box_strokes, "", 0, 0};
}

static void read_point(int *x, int *y, const char **at)
{
    *x = (*at)[0] - '0';
    *y = (*at)[1] - 'd';
    *at += 2;
}

bool sw_font_step(struct sw_font_step *step, const char **strokes, bool *is_fresh)
{
    if (**strokes == ' ') {
        ++*strokes;
        *is_fresh = true;
    }
    if (!**strokes)
        return false;
    *step = (struct sw_font_step){.is_move = *is_fresh};
    if (**strokes == '~') {
        ++*strokes;
        step->is_curve = true;
        read_point(&step->cx, &step->cy, strokes);
    }
    read_point(&step->x, &step->y, strokes);
    *is_fresh = false;
    return true;
}

int sw_font_width(const char *text)
{
    int width = 0;
    bool is_first = true;
    while (*text) {
        width += is_first ? 0 : SW_FONT_GAP;
        width += sw_font_next(&text).width;
        is_first = false;
    }
    return width;
}
