"""Accounts of a hosted installation, the members of a trial, and its trail."""

from django.urls import path

from fairtank.web.views import accounts, members

_MEMBERS = "trials/<slug:slug>/members/"
urlpatterns = [
    path("login/", accounts.login, name="login"),
    path("logout/", accounts.logout, name="logout"),
    path("account/", accounts.account, name="account"),
    path("account/password/", accounts.password, name="account_password"),
    path("accounts/", accounts.accounts, name="accounts"),
    path("accounts/<int:number>/close/", accounts.close, name="account_close"),
    path("invited/", members.invited, name="invited"),
    path(_MEMBERS, members.members, name="members"),
    path(f"{_MEMBERS}invite/", members.invite, name="member_invite"),
    path(f"{_MEMBERS}invitations/<int:number>/withdraw/", members.withdraw, name="invitation_withdraw"),
    path(f"{_MEMBERS}<int:number>/role/", members.role, name="member_role"),
    path(f"{_MEMBERS}<int:number>/remove/", members.remove, name="member_remove"),
    path("trials/<slug:slug>/trail/", members.trail, name="trail"),
]
