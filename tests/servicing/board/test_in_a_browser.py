"""A person with a phone signs in, takes a reading and sees what it means, in a real browser."""

import shutil
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait

from servicing.readings.models import StrutReading
from tests.builders.fleet import a_person, a_token
from tests.builders.readings import a_stand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync",
    "--disable-background-networking", "--disable-component-update", "--window-size=390,844",
)  # fmt: skip


@pytest.fixture
def phone(tmp_path: Path) -> Iterator[webdriver.Chrome]:
    options = webdriver.ChromeOptions()
    options.binary_location = shutil.which("chromium") or shutil.which("google-chrome") or ""
    for flag in (*FLAGS, f"--user-data-dir={tmp_path}"):
        options.add_argument(flag)
    driver = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    yield driver
    driver.quit()


def press(phone: webdriver.Chrome, selector: str) -> None:
    """Press what answers with another page, and wait for it."""
    old = phone.find_element(By.TAG_NAME, "html")
    phone.find_element(By.CSS_SELECTOR, selector).click()
    WebDriverWait(phone, 20).until(lambda driver: driver.find_element(By.TAG_NAME, "html") != old)


def test_a_reading_taken_on_a_phone(phone: webdriver.Chrome, live_server: Any) -> None:
    stand = a_stand()
    _, secret = a_token(a_person(stand.operator), expires_at=timezone.now() + timedelta(days=1))

    phone.get(live_server.url)
    phone.find_element(By.ID, "token").send_keys(secret)
    press(phone, "main form button")
    assert stand.aircraft.registration in phone.find_element(By.TAG_NAME, "main").text

    press(phone, "a[href$='/reading']")
    phone.find_element(By.ID, "extension").send_keys("4 1/2")
    phone.find_element(By.ID, "temperature").send_keys("68")
    phone.find_element(By.NAME, "exercised").click()
    press(phone, "main form button")

    assert "within" in phone.find_element(By.TAG_NAME, "h1").text
    assert StrutReading.objects.of(stand.operator).get().extension_in == 4.5

    press(phone, "main a.button")
    assert phone.find_elements(By.CSS_SELECTOR, "main svg")
    wider_than_screen = phone.execute_script("return document.documentElement.scrollWidth > window.innerWidth")
    assert not wider_than_screen


def test_the_documentation_opens_without_the_internet(phone: webdriver.Chrome, live_server: Any) -> None:
    phone.get(f"{live_server.url}/api/v1/docs/")

    WebDriverWait(phone, 30).until(lambda driver: "Undercart" in driver.find_element(By.TAG_NAME, "body").text)
    asked = phone.execute_script("return performance.getEntriesByType('resource').map(entry => entry.name)")
    assert all(address.startswith((live_server.url, "data:", "blob:")) for address in asked)
