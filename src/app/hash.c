#include <sodium.h>

#include "app/app.h"

enum sw_status sw_app_sha256(const char **out, const char *text, size_t size, struct sw_ctx *ctx)
{
    enum { DIGITS = 2 * crypto_hash_sha256_BYTES + 1 };
    unsigned char hash[crypto_hash_sha256_BYTES];
    char digits[DIGITS];
    if (sodium_init() < 0 || crypto_hash_sha256(hash, (const unsigned char *)text, size) != 0)
        return SW_INTERNAL;
    sodium_bin2hex(digits, sizeof digits, hash, sizeof hash);
    *out = sw_arena_copy(ctx->arena, digits, sizeof digits - 1);
    return *out ? SW_OK : SW_MEMORY;
}

enum sw_status sw_app_hash_texts(struct sw_report_hash **out, const struct sw_app_text *text,
                                 size_t n, struct sw_ctx *ctx)
{
    *out = SW_NEW(ctx->arena, struct sw_report_hash, n);
    if (!*out)
        return SW_MEMORY;
    for (size_t i = 0; i < n; i++) {
        (*out)[i].file = text[i].name;
        SW_TRY(sw_app_sha256(&(*out)[i].sha256, text[i].text, text[i].size, ctx));
    }
    return SW_OK;
}
