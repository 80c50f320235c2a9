/* a_schema.h - for tests: does a JSON value have the shape that answers.schema.json promises?
 *
 * The part of JSON Schema (draft 2020-12) that our file uses; what it does not know fails. The
 * system test holds the same answers to a full validator, so that this one may stay small. */
#ifndef TARN_TESTS_A_SCHEMA_H
#define TARN_TESTS_A_SCHEMA_H

#include "tests/cmocka_all.h"

#include <jansson.h>
#include <regex.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Is the value of this one type of JSON Schema? No, of a type that is not known here. */
static inline bool schema_has_type(const char *type, const json_t *v)
{
    return strcmp(type, "object") == 0    ? json_is_object(v)
           : strcmp(type, "array") == 0   ? json_is_array(v)
           : strcmp(type, "string") == 0  ? json_is_string(v)
           : strcmp(type, "boolean") == 0 ? json_is_boolean(v)
           : strcmp(type, "integer") == 0 ? json_is_integer(v)
           : strcmp(type, "number") == 0  ? json_is_number(v)
                                          : strcmp(type, "null") == 0 && json_is_null(v);
}

/* … of this type, or of one in the list? */
static inline bool schema_type_fits(const json_t *type, const json_t *v)
{
    const json_t *one;
    size_t i;

    if (json_is_string(type)) {
        return schema_has_type(json_string_value(type), v);
    }
    json_array_foreach(type, i, one)
    {
        if (schema_has_type(json_string_value(one), v)) {
            return true;
        }
    }
    return false;
}

/* Does the text match the pattern somewhere? What is no text always fits. Fails the test on a
 * pattern that POSIX does not take. */
static inline bool schema_pattern_fits(const char *pattern, const json_t *v)
{
    regex_t re;
    bool fits;

    if (!json_is_string(v)) {
        return true;
    }
    assert_int_equal(regcomp(&re, pattern, REG_EXTENDED | REG_NOSUB), 0);
    fits = regexec(&re, json_string_value(v), 0, NULL, 0) == 0;
    regfree(&re);
    return fits;
}

/* Does the value fit? What does not is said where it `says`. */
static inline bool schema_fits(const json_t *defs, const json_t *schema, const json_t *v,
                               const char *where, bool says);

/* Has the object all that is required, no member that is unknown, and do they all fit? */
static inline bool schema_object_fits(const json_t *defs, const json_t *schema, const json_t *v,
                                      const char *where, bool says)
{
    const json_t *properties = json_object_get(schema, "properties");
    const json_t *name;
    const char *key;
    json_t *member;
    bool fits = true;
    size_t i;

    json_array_foreach(json_object_get(schema, "required"), i, name)
    {
        if (!json_object_get(v, json_string_value(name))) {
            fits = false;
            if (says) {
                print_error("%s has no \"%s\"\n", where, json_string_value(name));
            }
        }
    }
    json_object_foreach((json_t *)(uintptr_t)v, key, member)
    {
        const json_t *of = json_object_get(properties, key);

        if (!of) {
            fits = false;
            if (says) {
                print_error("%s has \"%s\", which the schema does not know\n", where, key);
            }
        } else {
            fits = schema_fits(defs, of, member, key, says) && fits;
        }
    }
    return fits;
}

/* Does just one of the schemas in the list fit? As oneOf has it. */
static inline bool schema_one_fits(const json_t *defs, const json_t *list, const json_t *v)
{
    const json_t *one;
    size_t n = 0;
    size_t i;

    json_array_foreach(list, i, one)
    {
        n += schema_fits(defs, one, v, "", false);
    }
    return n == 1;
}

/* Is the value among those of the list? */
static inline bool schema_list_has(const json_t *list, const json_t *v)
{
    const json_t *one;
    size_t i;

    json_array_foreach(list, i, one)
    {
        if (json_equal(one, v)) {
            return true;
        }
    }
    return false;
}

/* What one word of a schema says of the value. Gives true for what is judged elsewhere or says
 * nothing; *known is false for a word that this file does not know. */
static inline bool schema_word_fits(const json_t *defs, const char *word, const json_t *says_what,
                                    const json_t *v, bool *known)
{
    *known = true;
    if (strcmp(word, "type") == 0) {
        return schema_type_fits(says_what, v);
    }
    if (strcmp(word, "enum") == 0) {
        return schema_list_has(says_what, v);
    }
    if (strcmp(word, "const") == 0) {
        return json_equal(says_what, v);
    }
    if (strcmp(word, "pattern") == 0) {
        return schema_pattern_fits(json_string_value(says_what), v);
    }
    if (strcmp(word, "oneOf") == 0) {
        return schema_one_fits(defs, says_what, v);
    }
    *known = strcmp(word, "description") == 0 || strcmp(word, "properties") == 0 ||
             strcmp(word, "required") == 0 || strcmp(word, "additionalProperties") == 0 ||
             strcmp(word, "items") == 0 || strcmp(word, "$ref") == 0;
    return true;
}

/* Declared above, for a schema within a schema. */
static inline bool schema_fits(const json_t *defs, const json_t *schema, const json_t *v,
                               const char *where, bool says)
{
    const char *ref = json_string_value(json_object_get(schema, "$ref"));
    const char *word;
    json_t *what;
    json_t *item;
    bool fits = true;
    size_t i;

    if (ref) {
        return schema_fits(defs, json_object_get(defs, ref + strlen("#/$defs/")), v, where, says);
    }
    assert_true(json_is_object(schema));
    json_object_foreach((json_t *)(uintptr_t)schema, word, what)
    {
        bool known;

        if (!schema_word_fits(defs, word, what, v, &known)) {
            fits = false;
            if (says) {
                char *text = json_dumps(v, JSON_ENCODE_ANY);

                print_error("%s is not of its %s: %.200s\n", where, word, text);
                free(text);
            }
        }
        if (!known) {
            fail_msg("a_schema.h does not know '%s' of JSON Schema", word);
        }
    }
    if (json_is_object(v) && json_object_get(schema, "properties")) {
        fits = schema_object_fits(defs, schema, v, where, says) && fits;
    }
    json_array_foreach((json_t *)(uintptr_t)v, i, item)
    {
        fits = schema_fits(defs, json_object_get(schema, "items"), item, where, says) && fits;
    }
    return fits;
}

#endif
