"""The addresses that are no pages, each with the reason, and what is wrong with the list of pages."""

import os

from page_pictures import listed

NOT_PAGES = {
    "a file or a picture": """
        no_icon chart_bundle_newest chart_bundle plan_covers plan_download report_page report_pdf one_page one_page_pdf
        schedule_calendar photo_map photo_framed photo_picture blind_picture rate_picture audit_picture result file thumbnail
        readings_export findings_file measures_file
        folder_zip site_file site_zip chart_file charts_zip film_file kit_file drift_file build_file words_file
        pooled_file pooled_page pooled_paper settings_backup readings_import_empty draw_paper cards
    """,
    "a part of a page, or a script's answer": """
        job_part labels_painted tank_look labels_teach round_entries round_photo frame_store labels_store
    """,
    "it only takes something and leads to a page": """
        logout language readings_add earlier_take spread_give pool_ask account_password rate_answer rate_undo diary_bring_back job_stop
        job_ask readings_import_take_back readings_import_bring_back blind_answer blind_undo member_invite invitation_withdraw member_role
        member_remove audit_draw audit_undo audit_answer frame_copy frame_remove labels_next labels_class plan_answer plan_proposals
        plan_template plan_make plan_again forecast_ask disclosure blind_make blind_link blind_unlink blind_end blind_open schedule_take
        schedule_slip schedule_chore_remove trial_new trial_example bring_back trial_rename trial_close trial_remove photo_remove
        photo_bring_back build_take_out tank_bring_back tank_note tank_take_away materials_take material_bring_back material_take_away
        words_ask words_check account_close kit_ask repeat_make site_make charts_make film_make trial_take_in trial_take_in_file
        phone_code phone_rename phone_revoke settings_keep settings_look settings_work settings_bring_back
    """,
}


def faults() -> list[str]:
    """Addresses that nobody said are a page or none, and names here that no address has, as sentences."""
    import django
    from django.urls import get_resolver

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fairtank.settings")
    django.setup()
    routes = {one.name or one.callback.__name__ for one in get_resolver().url_patterns}
    pictured, others = {page.route for page in listed.PAGES}, {name for names in NOT_PAGES.values() for name in names.split()}
    found = [f"The address {name} has no picture: put its page into scripts/page_pictures/listed.py, or say in addresses.py why it is none."
             for name in sorted(routes - pictured - others)]
    found += [f"No address is called {name}; scripts/page_pictures names it." for name in sorted((pictured | others) - routes)]
    found += [f"{name} is listed as a page and as none." for name in sorted(pictured & others)]
    names = [page.name for page in listed.PAGES]
    return found + [f"Two pages are called {name}." for name in sorted({name for name in names if names.count(name) > 1})]
