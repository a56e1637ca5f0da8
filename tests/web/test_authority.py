"""The authority vouches for local names alone, and what it issues is renewed in time."""

from __future__ import annotations

import ipaddress
import socket
import ssl
import stat
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from fake_ports import FakePorts
from web_sharing import HOUSE, SHARED_PORT, House

from watervane.web.sharing.authority import CA, CA_KEY, LEAF, LEAF_KEY, Authority
from watervane.web.sharing.names import Reach, preferred_host, reach

NOW = datetime.now(UTC)


def names_of(path: Path) -> set[str]:
    told = x509.load_pem_x509_certificate(path.read_bytes())
    names = told.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {str(each.value) for each in names}


def dates_of(path: Path) -> tuple[datetime, datetime]:
    told = x509.load_pem_x509_certificate(path.read_bytes())
    return told.not_valid_before_utc, told.not_valid_after_utc


def taken(authority: bytes, files: tuple[Path, Path], name: str) -> bool:
    """Whether OpenSSL, trusting the authority and nobody else, speaks to who has these files."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(*files)
    client = ssl.create_default_context(cadata=authority.decode())
    client.verify_flags |= ssl.VERIFY_X509_STRICT
    here, there = socket.socketpair()

    def answer() -> None:
        try:
            with server.wrap_socket(there, server_side=True) as spoken:
                spoken.recv(1)
        except OSError:
            pass

    listening = threading.Thread(target=answer)
    listening.start()
    try:
        with client.wrap_socket(here, server_hostname=name) as spoken:
            spoken.send(b"x")
    except ssl.SSLCertVerificationError:
        return False
    else:
        return True
    finally:
        here.close()
        listening.join(5)


@pytest.mark.parametrize("name", HOUSE.hosts)
def test_who_trusts_it_takes_every_shared_name(tmp_path: Path, name: str) -> None:
    authority = Authority(tmp_path, HOUSE)
    assert taken(authority.pem, authority.leaf(HOUSE), name)
    assert not taken(Authority(tmp_path / "other", HOUSE).pem, authority.leaf(HOUSE), name)


@pytest.mark.parametrize(
    "forged",
    [Reach(("www.example.org",), ()), Reach(("example.com",), ()), Reach((), ("8.8.8.8",))],
)
def test_even_its_key_vouches_for_no_site_of_the_internet(
    tmp_path: Path, forged: Reach, monkeypatch: pytest.MonkeyPatch
) -> None:
    authority = Authority(tmp_path, HOUSE)
    assert authority.vouches_for(forged) == []
    told = [x509.DNSName(each) for each in forged.names]
    told += [x509.IPAddress(ipaddress.ip_address(each)) for each in forged.addresses]
    monkeypatch.setattr(Authority, "vouches_for", lambda self, found: told)
    assert not taken(authority.pem, authority.leaf(forged), forged.hosts[0])


def test_keys_are_for_their_owner_alone(tmp_path: Path) -> None:
    folder = tmp_path / "sharing"
    authority = Authority(folder, HOUSE)
    authority.leaf(HOUSE)
    for name in (CA_KEY, LEAF_KEY):
        assert stat.S_IMODE((folder / name).stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    (folder / CA_KEY).chmod(0o644)
    Authority(folder, HOUSE)
    assert stat.S_IMODE((folder / CA_KEY).stat().st_mode) == 0o600
    assert {each.suffix for each in folder.iterdir()} == {".key", ".pem"}


def test_phones_are_given_the_certificate_and_never_the_key(
    fake: FakePorts, tmp_path: Path
) -> None:
    house = House(tmp_path, fake)
    answer = house.phone().get("/trust/watervane.crt")
    assert answer.headers["content-type"] == "application/x-x509-ca-cert"
    found = x509.load_der_x509_certificate(answer.content)
    assert found == house.share.authority.certificate
    assert b"PRIVATE" not in answer.content
    assert house.share.authority.fingerprint in house.phone().get("/trust").text


def test_it_is_the_same_authority_at_the_next_start(tmp_path: Path) -> None:
    first = Authority(tmp_path, HOUSE)
    first.leaf(HOUSE)
    told = (tmp_path / LEAF).read_bytes()
    second = Authority(tmp_path, HOUSE)
    second.leaf(HOUSE)
    assert second.fingerprint == first.fingerprint
    assert (tmp_path / LEAF).read_bytes() == told


def test_a_certificate_lasts_as_long_as_browsers_take_and_is_renewed_before(
    tmp_path: Path,
) -> None:
    authority = Authority(tmp_path, HOUSE)
    path, _ = authority.leaf(HOUSE)
    begins, ends = dates_of(path)
    assert timedelta(days=390) < ends - begins <= timedelta(days=397)
    assert begins < NOW
    authority.leaf(HOUSE, NOW + timedelta(days=360))
    assert dates_of(path) == (begins, ends)
    authority.leaf(HOUSE, NOW + timedelta(days=370))
    assert dates_of(path)[1] > ends


def test_new_addresses_are_vouched_for_while_it_runs(fake: FakePorts, tmp_path: Path) -> None:
    house = House(tmp_path, fake)
    path, _ = house.share.certificate()
    assert names_of(path) == set(HOUSE.hosts)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    moved = Reach(HOUSE.names, ("192.168.7.77",))
    house.share.find = lambda: moved
    house.share.look_again(context)
    assert names_of(path) == set(moved.hosts)
    for host, status in ((moved.addresses[0], 200), (HOUSE.addresses[0], 421)):
        phone = house.phone(address=f"https://{host}:{SHARED_PORT}")
        assert phone.get("/pair").status_code == status


def test_an_address_outside_its_limits_is_left_out(tmp_path: Path) -> None:
    authority = Authority(tmp_path, HOUSE)
    authority.leaf(Reach(HOUSE.names, ("203.0.113.9",)))
    assert names_of(tmp_path / LEAF) == set(HOUSE.names)


@pytest.mark.parametrize("broken", [CA_KEY, CA, LEAF_KEY, LEAF])
def test_what_is_broken_is_made_anew(tmp_path: Path, broken: str) -> None:
    Authority(tmp_path, HOUSE).leaf(HOUSE)
    (tmp_path / broken).write_text("-----BEGIN NOTHING-----", encoding="utf-8")
    authority = Authority(tmp_path, HOUSE)
    assert taken(authority.pem, authority.leaf(HOUSE), "bench.local")


def test_an_authority_that_runs_out_is_followed_by_another(tmp_path: Path) -> None:
    first = Authority(tmp_path, HOUSE).fingerprint
    assert Authority(tmp_path, HOUSE, NOW + timedelta(days=3000)).fingerprint == first
    assert Authority(tmp_path, HOUSE, NOW + timedelta(days=3300)).fingerprint != first


def test_a_phone_is_sent_where_it_finds_the_machine() -> None:
    assert preferred_host(HOUSE) == "bench.local"
    assert preferred_host(Reach(("bench", "bench.local"), ("10.0.0.9",))) == "10.0.0.9"
    assert preferred_host(Reach(("bench.local", "bench"), ())) == "bench.local"
    assert preferred_host(Reach((), ())) == "localhost"
    found = reach()
    assert not any(each.startswith("127.") for each in found.addresses)
    assert all(each == each.lower() for each in found.names)
