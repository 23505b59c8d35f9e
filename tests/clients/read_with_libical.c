/* Reads calendars with libical, one after the other, in one process.
 *
 * On standard input, for each calendar, its length (4 octets, the highest first) and its octets. Answers one line of
 * JSON: {"complaints": [...], "seen": [...]}.
 *
 * libical checks how often a property may stand in a component only by the table of a METHOD. A feed has none, so one is
 * added here, in memory, with the ORGANIZER that it asks for. That table also wants a start and a PRIORITY in a task, which
 * RFC 5545 does not: those complaints are left out.
 */
#include <libical/ical.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void put_text(const char *text)
{
    putchar('"');
    for (const unsigned char *at = (const unsigned char *)(text ? text : ""); *at; at++) {
        if (*at == '"' || *at == '\\')
            printf("\\%c", *at);
        else if (*at < 0x20)
            printf("\\u%04x", *at);
        else
            putchar(*at);
    }
    putchar('"');
}

static void put_field(const char *name, const char *text)
{
    printf("\"%s\": ", name);
    put_text(text);
    printf(", ");
}

static void put_property(icalcomponent *component, const char *name, icalproperty_kind kind)
{
    icalproperty *property = icalcomponent_get_first_property(component, kind);
    const icalvalue *value = property ? icalproperty_get_value(property) : NULL;
    put_field(name, value ? icalvalue_get_text(value) : "");
}

static void put_moment(icalcomponent *component, const char *name, icalproperty_kind kind, icalproperty_kind other)
{
    icalproperty *property = icalcomponent_get_first_property(component, kind);
    if (!property)
        property = icalcomponent_get_first_property(component, other);
    put_field(name, property ? icalproperty_get_value_as_string(property) : "");
}

static void put_categories(icalcomponent *component)
{
    bool is_first = true;
    printf("\"categories\": [");
    for (icalproperty *each = icalcomponent_get_first_property(component, ICAL_CATEGORIES_PROPERTY); each;
         each = icalcomponent_get_next_property(component, ICAL_CATEGORIES_PROPERTY)) {
        fputs(is_first ? "" : ", ", stdout);
        put_text(icalproperty_get_categories(each));
        is_first = false;
    }
    printf("], ");
}

static void put_alarm(icalcomponent *component)
{
    icalcomponent *alarm = icalcomponent_get_first_component(component, ICAL_VALARM_COMPONENT);
    icalproperty *trigger = alarm ? icalcomponent_get_first_property(alarm, ICAL_TRIGGER_PROPERTY) : NULL;
    if (trigger)
        printf("\"alarm\": %d", icaldurationtype_as_int(icalproperty_get_trigger(trigger).duration));
    else
        printf("\"alarm\": null");
}

/* What calendar software would show of an event or a task. */
static void put_seen(icalcomponent *component)
{
    icalproperty *status = icalcomponent_get_first_property(component, ICAL_STATUS_PROPERTY);
    printf("{");
    put_field("kind", icalcomponent_kind_to_string(icalcomponent_isa(component)));
    put_property(component, "uid", ICAL_UID_PROPERTY);
    put_moment(component, "start", ICAL_DTSTART_PROPERTY, ICAL_DTSTART_PROPERTY);
    put_moment(component, "end", ICAL_DTEND_PROPERTY, ICAL_DUE_PROPERTY);
    put_property(component, "summary", ICAL_SUMMARY_PROPERTY);
    put_property(component, "description", ICAL_DESCRIPTION_PROPERTY);
    put_property(component, "location", ICAL_LOCATION_PROPERTY);
    put_categories(component);
    printf("\"sequence\": %d, ", icalcomponent_get_sequence(component));
    put_field("status", status ? icalproperty_get_value_as_string(status) : "");
    put_alarm(component);
    printf("}");
}

static bool is_for_invitations(icalcomponent *component, const char *complaint)
{
    return icalcomponent_isa(component) == ICAL_VTODO_COMPONENT &&
           (strstr(complaint, "Failed iTIP restrictions for PRIORITY property") ||
            strstr(complaint, "Failed iTIP restrictions for DTSTART property"));
}

static bool put_complaints(icalcomponent *component, bool is_first)
{
    for (icalproperty *each = icalcomponent_get_first_property(component, ICAL_XLICERROR_PROPERTY); each;
         each = icalcomponent_get_next_property(component, ICAL_XLICERROR_PROPERTY)) {
        const char *complaint = icalproperty_get_xlicerror(each);
        if (is_for_invitations(component, complaint))
            continue;
        fputs(is_first ? "" : ", ", stdout);
        put_text(complaint);
        is_first = false;
    }
    for (icalcomponent *inner = icalcomponent_get_first_component(component, ICAL_ANY_COMPONENT); inner;
         inner = icalcomponent_get_next_component(component, ICAL_ANY_COMPONENT))
        is_first = put_complaints(inner, is_first);
    return is_first;
}

static bool is_shown(icalcomponent *component)
{
    return icalcomponent_isa(component) == ICAL_VEVENT_COMPONENT || icalcomponent_isa(component) == ICAL_VTODO_COMPONENT;
}

static void check(icalcomponent *calendar)
{
    icalcomponent_add_property(calendar, icalproperty_new_method(ICAL_METHOD_PUBLISH));
    for (icalcomponent *each = icalcomponent_get_first_component(calendar, ICAL_ANY_COMPONENT); each;
         each = icalcomponent_get_next_component(calendar, ICAL_ANY_COMPONENT))
        if (is_shown(each))
            icalcomponent_add_property(each, icalproperty_new_organizer("mailto:gardener@example.org"));
    icalrestriction_check(calendar);
}

static void answer(const char *text, size_t length)
{
    icalcomponent *calendar = strlen(text) == length ? icalparser_parse_string(text) : NULL;
    bool is_calendar = calendar && icalcomponent_isa(calendar) == ICAL_VCALENDAR_COMPONENT;
    bool is_first = true;
    if (is_calendar)
        check(calendar);
    printf("{\"complaints\": [");
    if (!is_calendar)
        printf("\"it is not one calendar\"");
    else
        put_complaints(calendar, true);
    printf("], \"seen\": [");
    for (icalcomponent *each = is_calendar ? icalcomponent_get_first_component(calendar, ICAL_ANY_COMPONENT) : NULL; each;
         each = icalcomponent_get_next_component(calendar, ICAL_ANY_COMPONENT)) {
        if (!is_shown(each))
            continue;
        fputs(is_first ? "" : ", ", stdout);
        put_seen(each);
        is_first = false;
    }
    printf("]}\n");
    fflush(stdout);
    if (calendar)
        icalcomponent_free(calendar);
}

int main(void)
{
    unsigned char head[4];
    icalerror_set_errors_are_fatal(0);
    while (fread(head, 1, sizeof head, stdin) == sizeof head) {
        size_t length = (size_t)head[0] << 24 | (size_t)head[1] << 16 | (size_t)head[2] << 8 | head[3];
        char *text = malloc(length + 1);
        if (!text || fread(text, 1, length, stdin) != length)
            return 1;
        text[length] = '\0';
        answer(text, length);
        free(text);
    }
    return 0;
}
