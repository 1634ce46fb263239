"""Who may do what: the table of all addresses, walked by every kind of visitor."""

import re
from contextlib import nullcontext

import pytest
from tests.web.people import account, hosted, in_home_network, keeper, logged_in, phone, stranger, visitor_of_site

# Right -> the addresses that need it, by their names. A new address must be put here; think about whom it is for.
TABLE = {
    "open": "language login logout invited pair no_icon rate rate_answer rate_undo rate_picture",
    "look": """kit words words_check words_file pooled_page pooled_paper
        account account_password trail bench calculator chart_bundle_newest chart_bundle diary deviations draw draw_paper even equal
        finding forecast pooled jobs job job_part plan plan_covers publish report_page report_pdf one_page one_page_pdf readings schedule
        schedule_calendar seal seal_verify shelf trial show wall compare photo photo_map photo_framed photo_picture watch
        site site_file charts_export chart_file film film_file build""",
    "score": "draw_codes blind blind_table blind_answer blind_undo blind_picture",
    "export": """kit_file site_zip charts_zip pooled_file
        folder result file thumbnail plan_download readings_export findings_file measures_file folder_zip drift_file
        build_file""",
    "record": """words_ask site_make charts_make film_make forecast_ask pool pool_ask
        diary_add diary_entry diary_bring_back job_stop job_ask readings_add round round_entries round_photo today readings_import
        readings_import_empty readings_import_look readings_import_take_back readings_import_bring_back build_weigh
        build_weigh_unit""",
    "manage": """cards kit_ask repeat repeat_make members member_invite invitation_withdraw member_role member_remove audit audit_draw
        audit_undo audit_answer audit_picture
        equal_factor frame frame_unit frame_store frame_copy frame_remove labels labels_next labels_class labels_painted
        labels_photo labels_store labels_teach plan_questions plan_answer plan_proposals plan_template plan_make plan_again
        plan_text disclosure spread_give earlier_take blind_make blind_link blind_unlink blind_end blind_open schedule_take schedule_slip
        schedule_chore schedule_chore_remove trial_new trial_example trash bring_back trial_rename trial_close trial_remove
        photo_remove photo_bring_back build_setup build_tanks build_text build_line build_take_out tanks tank_new tank_look
        tank_bring_back tank tank_note tank_take_away materials material_new materials_take material_bring_back material
        material_take_away""",
    "keep": """accounts account_close trial_take_in phones phone_code phone_rename phone_revoke settings settings_keep settings_look
        settings_work settings_backup settings_trash settings_bring_back trial_take_in_file""",
}
RIGHT_OF = {name: right for right, names in TABLE.items() for name in names.split()}
# Who has which right in a trial, and (after the bar) at the addresses of the house, such as the shelf.
MAY = {
    "keeper": "look score export record manage keep | look score export record manage keep",
    "phone": "look record | look record",
    "stranger": "|",
    "owner": "look score export record manage | look export record manage",
    "helper": "look export record | look export record",
    "rater": "score | look",
    "reader": "look export | look export",
    "outsider": "| look export record manage",
    "closed out": "|",
    "caretaker": "| look export record manage keep",
}
PASSED = 299
SAMPLES = {"slug": "a-trial", "kind": "readings", "name": "x", "size": "320", "stamp": "x", "measure": "algae_cover"}


def all_routes():
    """Name, pattern and view of every address."""
    from django.urls import get_resolver

    return [(one.name or one.callback.__name__, str(one.pattern), one.callback) for one in get_resolver().url_patterns]


def right_of(view):
    return "open" if getattr(view, "is_open", False) else getattr(view, "needs", "look")


def address_of(pattern):
    return "/" + re.sub(r"<(?:\w+:)?(\w+)>", lambda found: SAMPLES.get(found[1], "1"), pattern)


class StopsAtTheDoor:
    """Answers in place of a view where the visitor was let in; whoever was not goes on to the view, which refuses by itself."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        from django.http import HttpResponse

        from fairtank.web.visitors import admitted

        right = right_of(view)
        try:
            return HttpResponse(status=PASSED) if right == "open" or admitted(request, right, kwargs) is None else None
        except Exception:
            return None


@pytest.fixture
def trial(shelf):
    """A trial of the account `owner`, with a helper, a rater and a reader; `outsider` and `caretaker` were not let in."""
    from fairtank.records.models import Member
    from fairtank.records.services.shelf_trials import trial_begin
    from fairtank.records.services.trail import By

    with hosted():
        made = trial_begin(by=By("owner", account("owner")), title="A trial")
        for role in ("helper", "rater", "reader"):
            Member.objects.create(trial=made, user=account(role, begins_trials=False), role=role)
        account("outsider")
        account("caretaker", is_keeper=True)
    return made


def test_every_address_is_in_the_table_and_asks_for_what_the_table_says():
    found = {name: right_of(view) for name, _pattern, view in all_routes()}
    unknown = sorted(set(found) - set(RIGHT_OF))
    assert not unknown, f"say in TABLE whom these addresses are for: {unknown}"
    assert {name: right for name, right in RIGHT_OF.items() if found.get(name, right) != right} == {}


def test_every_address_of_a_trial_names_it_so_that_the_rights_in_it_count():
    for name, pattern, view in all_routes():
        if pattern.startswith("trials/<"):
            assert pattern.startswith("trials/<slug:slug>/"), name
            assert hasattr(view, "needs"), name


def walked(client, who, secure):
    """Every address asked for by a visitor: what each was answered, against the table."""
    client.handler.load_middleware()  # with the one that stops at the door
    in_trial, in_house = (set(side.split()) for side in MAY[who].split("|"))
    for name, pattern, view in all_routes():
        right, is_of_trial = right_of(view), "<slug:slug>" in pattern
        may = right == "open" or right in (in_trial if is_of_trial else in_house)
        for method in ("get", "post") if may else ("get",):
            answer = getattr(client, method)(address_of(pattern), secure=secure)
            if may:
                assert answer.status_code == PASSED, (who, name, method, answer.status_code)
            elif answer.status_code != 405:
                led = answer.status_code == 302 and answer.headers["Location"].startswith("/login/")
                hidden = answer.status_code == 404 and "There is no such trial on the shelf." in answer.content.decode()
                assert answer.status_code == 403 or led or hidden, (who, name, method, answer.status_code)
                assert "A trial" not in answer.content.decode(), (who, name)


@pytest.mark.parametrize("who", ["phone", "stranger"])
def test_the_home_network_is_walked_and_everybody_gets_what_the_table_says(trial, who):
    from django.conf import settings

    with in_home_network():
        client = {"phone": phone, "stranger": stranger}[who]()
        with _door(settings):
            walked(client, who, secure=False)


def test_a_hosted_installation_shows_nothing_to_who_is_not_logged_in(trial):
    from django.conf import settings

    with hosted(), _door(settings):
        walked(visitor_of_site(), "closed out", secure=True)


@pytest.mark.parametrize("who", ["keeper", "owner", "helper", "rater", "reader", "outsider", "caretaker"])
def test_every_view_lets_in_and_refuses_whom_the_table_says(trial, who):
    """The views themselves, without what stands before them, so that all of them can be asked for everybody."""
    import time

    from django.contrib.auth import get_user_model
    from django.core.exceptions import PermissionDenied
    from django.http import Http404
    from django.test import RequestFactory
    from django.urls import resolve

    from fairtank.web.visitors import KEEPER, LOGIN_KEY, admitted, visitor_of

    in_trial, in_house = (set(side.split()) for side in MAY[who].split("|"))
    with hosted():
        base = RequestFactory().get("/")
        base.session = {LOGIN_KEY: time.time()}
        base.user = get_user_model().objects.filter(username=who).first()
        visitor = KEEPER if who == "keeper" else visitor_of(base)
        for name, pattern, view in all_routes():
            right, kwargs = right_of(view), resolve(address_of(pattern)).kwargs
            may = right == "open" or right in (in_trial if "<slug:slug>" in pattern else in_house)
            refused = []
            for method in ("get", "post"):
                request = getattr(RequestFactory(), method)(address_of(pattern))
                request.visitor, request.session = visitor, {}
                try:
                    # Who is let in is not sent on into the view, which would do its work.
                    refused.append(right != "open" and admitted(request, right, kwargs) is not None)
                except (PermissionDenied, Http404):
                    with pytest.raises((PermissionDenied, Http404)) if hasattr(view, "needs") else nullcontext():
                        request.visitor = visitor
                        answer = view(request, **kwargs) if hasattr(view, "needs") else None
                        if answer is not None and answer.status_code == 405:
                            raise PermissionDenied from None
                    refused.append(True)
            assert refused == [not may, not may], (who, name)


def _door(settings):
    from django.test import override_settings

    return override_settings(MIDDLEWARE=[*settings.MIDDLEWARE, f"{__name__}.StopsAtTheDoor"])


def test_pages_themselves_are_shown_and_refused_as_the_table_says(trial):
    there = f"/trials/{trial.slug}/"
    with hosted():
        reader, helper, outsider = logged_in("reader"), logged_in("helper"), logged_in("outsider")
        for page in ("", "plan/", "trail/", "seal/", "readings/"):
            assert reader.get(there + page).status_code == 200, page
            assert outsider.get(there + page).status_code == 404, page
        assert reader.post(f"{there}rename/", {"title": "x"}).status_code == 403
        assert (reader.get("/today/").status_code, helper.get("/today/").status_code) == (403, 200)
        assert "A trial" in reader.get("/").content.decode()
        assert "A trial" not in outsider.get("/").content.decode()
        assert "A trial" not in logged_in("rater").get("/").content.decode()
        assert logged_in("rater").get(there).status_code == 403


def test_a_page_offers_only_what_its_visitor_may_do_there(trial):
    with hosted():
        page = logged_in("reader").get(f"/trials/{trial.slug}/").content.decode()
        assert "trial_rename" not in page
        assert f"/trials/{trial.slug}/rename/" not in page
        assert f"/trials/{trial.slug}/round/" not in page
        assert f"/trials/{trial.slug}/rename/" in logged_in("owner").get(f"/trials/{trial.slug}/").content.decode()


def test_what_was_taken_away_is_shown_to_its_owner_alone(trial):
    with hosted():
        owner, outsider = logged_in("owner"), logged_in("outsider")
        assert owner.post(f"/trials/{trial.slug}/take-away/").status_code == 303
        assert "A trial" in owner.get("/trials/taken-away/").content.decode()
        assert "A trial" not in outsider.get("/trials/taken-away/").content.decode()
        assert outsider.post(f"/trials/taken-away/{trial.slug}/").status_code == 404
        assert owner.post(f"/trials/taken-away/{trial.slug}/").status_code == 303


def test_work_behind_the_pages_is_shown_to_those_of_its_trial(trial):
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.services.trail import KEEPER

    job = enqueue(kind="even", trial=trial, by=KEEPER)
    with hosted():
        assert logged_in("reader").get(f"/jobs/{job.pk}/").status_code == 200
        assert logged_in("reader").post(f"/jobs/{job.pk}/stop/").status_code == 403
        for who in ("outsider", "rater", "caretaker"):
            assert logged_in(who).get(f"/jobs/{job.pk}/").status_code == 404, who
            assert logged_in(who).post(f"/jobs/{job.pk}/stop/").status_code in (403, 404), who


def test_a_trial_without_an_owner_belongs_to_who_looks_after_the_installation(trial):
    from fairtank.records.models import Trial

    Trial.objects.update(owner=None)
    with hosted():
        assert logged_in("caretaker").get(f"/trials/{trial.slug}/").status_code == 200
        assert logged_in("outsider").get(f"/trials/{trial.slug}/").status_code == 404


def test_a_phone_takes_no_file_away_whatever_a_view_hands_it(trial):
    from django.test import override_settings
    from django.urls import path

    urls = type("Urls", (), {"urlpatterns": [path("file", _file)], "handler403": "fairtank.web.views.refused.not_allowed"})
    with in_home_network():
        client = phone()
        with override_settings(ROOT_URLCONF=urls):
            assert keeper().get("/file").status_code == 200
        readings = f"/trials/{trial.slug}/readings/readings.csv"
        assert (keeper().get(readings).status_code, client.get(readings).status_code) == (200, 403)
        calendar = f"/trials/{trial.slug}/schedule/calendar.ics"
        assert client.get(calendar).status_code in (403, 404)


def _file(request):
    from django.http import HttpResponse

    return HttpResponse(b"x", headers={"Content-Disposition": "attachment"})


def test_the_number_of_queries_does_not_grow_with_the_trials_an_account_may_see(trial):
    from django.contrib.auth import get_user_model
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from fairtank.records.services.shelf_trials import trial_begin
    from fairtank.records.services.trail import By

    with hosted():
        client, user = logged_in("owner"), get_user_model().objects.get(username="owner")
        counts = []
        for _ in range(2):
            with CaptureQueriesContext(connection) as made:
                assert client.get(f"/trials/{trial.slug}/trail/").status_code == 200
            counts.append(len(made))
            for number in range(5):
                trial_begin(by=By("owner", user), title=f"more {number}")
        assert counts[0] == counts[1] <= 12, counts
