"""A certificate authority of this machine's own, good for local names and nothing else.

What it vouches for is limited in its own certificate (RFC 5280, section 4.2.1.10): even with its
key nobody could pretend to be a site of the internet to a phone that trusts it.
"""

from __future__ import annotations

import ipaddress
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from watervane.web.sharing.files import own_folder, read_own, write_own
from watervane.web.sharing.names import LOCAL_NETWORKS, Reach

LONGEST_LEAF = timedelta(days=397, seconds=-1)  # what browsers take at most
RENEWED_BEFORE = timedelta(days=30)
AUTHORITY_LASTS = timedelta(days=3650)
AUTHORITY_RENEWED_BEFORE = timedelta(days=398)
BEFORE_NOW = timedelta(days=1)  # for clocks that are behind
LOCAL_ENDINGS = ("local", "home.arpa", "internal", "lan")
CA_KEY, CA, LEAF_KEY, LEAF = "authority.key", "authority.pem", "pages.key", "pages.pem"
CURVE = ec.SECP256R1()


class Authority:
    """The authority whose key lies in a folder; it is made where there is none."""

    def __init__(self, folder: Path, found: Reach, now: datetime | None = None) -> None:
        self._folder = own_folder(folder)
        self._now = now or datetime.now(UTC)
        kept = self._read(CA_KEY, CA)
        if kept is None or kept[1].not_valid_after_utc < self._now + AUTHORITY_RENEWED_BEFORE:
            kept = self._begin(found)
        self._key, self.certificate = kept

    @property
    def pem(self) -> bytes:
        """The certificate alone, as phones take it in."""
        return self.certificate.public_bytes(Encoding.PEM)

    @property
    def der(self) -> bytes:
        """The same as bytes."""
        return self.certificate.public_bytes(Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """SHA-256 in pairs, as phones show it."""
        return self.certificate.fingerprint(hashes.SHA256()).hex(" ").upper()

    def leaf(self, found: Reach, now: datetime | None = None) -> tuple[Path, Path]:
        """Certificate and key for these names, renewed where they are new or it runs out."""
        now = now or datetime.now(UTC)
        kept = self._read(LEAF_KEY, LEAF)
        if kept is None or not self._still_good(kept[1], found, now):
            self._issue(found, now)
        return self._folder / LEAF, self._folder / LEAF_KEY

    def vouches_for(self, found: Reach) -> list[x509.GeneralName]:
        """Of these names those within the limits of the authority."""
        limits = self.certificate.extensions.get_extension_for_class(x509.NameConstraints).value
        within = limits.permitted_subtrees or []
        names = {each.value for each in within if isinstance(each, x509.DNSName)}
        nets = [each.value for each in within if isinstance(each, x509.IPAddress)]
        told: list[x509.GeneralName] = [
            x509.DNSName(name)
            for name in found.names
            if name in names or name.rpartition(".")[2] in names
        ]
        for each in found.addresses:
            address = ipaddress.IPv4Address(each)
            if any(isinstance(net, ipaddress.IPv4Network) and address in net for net in nets):
                told.append(x509.IPAddress(address))
        return told

    def _still_good(self, leaf: x509.Certificate, found: Reach, now: datetime) -> bool:
        try:
            leaf.verify_directly_issued_by(self.certificate)
            told = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        except Exception:  # noqa: BLE001 - whatever is wrong with it, another one is made
            return False
        lasting = leaf.not_valid_after_utc - RENEWED_BEFORE > now >= leaf.not_valid_before_utc
        return lasting and set(told) == set(self.vouches_for(found))

    def _begin(self, found: Reach) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
        key = ec.generate_private_key(CURVE)
        name = _name(f"Watervane on {next(iter(found.names), 'this machine')}"[:64])
        usage = _usage(signs_certificates=True)
        own = [ipaddress.IPv4Network(each) for each in found.addresses]
        labels = [*LOCAL_ENDINGS, *(each for each in found.names if "." not in each)]
        limits = x509.NameConstraints(
            permitted_subtrees=[
                *(x509.DNSName(each) for each in labels),
                *(x509.IPAddress(each) for each in (*LOCAL_NETWORKS, *own)),
            ],
            excluded_subtrees=None,
        )
        made = (
            _dated(key.public_key(), name, name, self._now, AUTHORITY_LASTS)
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(usage, critical=True)
            .add_extension(limits, critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
            .sign(key, hashes.SHA256())
        )
        self._write(key, made, CA_KEY, CA)
        return key, made

    def _issue(self, found: Reach, now: datetime) -> None:
        key = ec.generate_private_key(CURVE)
        told = self.vouches_for(found)
        name = _name(str(told[0].value)[:64]) if told else _name("Watervane")
        own = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
        above = self.certificate.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
        made = (
            _dated(key.public_key(), name, self.certificate.subject, now, LONGEST_LEAF)
            .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
            .add_extension(_usage(signs_certificates=False), critical=True)
            .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False)
            .add_extension(x509.SubjectAlternativeName(told), critical=False)
            .add_extension(own, False)
            .add_extension(
                x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(above), False
            )
            .sign(self._key, hashes.SHA256())
        )
        self._write(key, made, LEAF_KEY, LEAF)

    def _read(
        self, key: str, certificate: str
    ) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate] | None:
        kept, told = read_own(self._folder / key), read_own(self._folder / certificate)
        if kept is None or told is None:
            return None
        try:
            private = load_pem_private_key(kept, None)
            public = x509.load_pem_x509_certificate(told)
        except ValueError:
            return None
        if not isinstance(private, ec.EllipticCurvePrivateKey):
            return None
        return (private, public) if private.public_key() == public.public_key() else None

    def _write(
        self,
        key: ec.EllipticCurvePrivateKey,
        made: x509.Certificate,
        key_name: str,
        name: str,
    ) -> None:
        told = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        write_own(self._folder / key_name, told)
        write_own(self._folder / name, made.public_bytes(Encoding.PEM))


def _name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _dated(
    key: ec.EllipticCurvePublicKey, name: x509.Name, issuer: x509.Name, now: datetime,
    lasts: timedelta,
) -> x509.CertificateBuilder:  # fmt: skip
    begins = now - BEFORE_NOW
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(begins + lasts)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        encipher_only=False,
        decipher_only=False,
    )
