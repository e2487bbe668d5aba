# Two stages, so that nothing needed only to build is in the image that runs.
FROM python:3.11-slim AS build
WORKDIR /source
COPY pyproject.toml README.md LICENSE ./
COPY service ./service
RUN python -m venv /venv && /venv/bin/pip install --no-cache-dir .

FROM python:3.11-slim
ENV PATH=/venv/bin:$PATH PYTHONDONTWRITEBYTECODE=1 PYTHONUNBUFFERED=1 BIND=0.0.0.0:8000
RUN useradd --uid 10001 --no-create-home --shell /usr/sbin/nologin siting
COPY --from=build /venv /venv
USER 10001
EXPOSE 8000
# Runs with --read-only: the heartbeat file lives in /dev/shm, nothing else is written.
HEALTHCHECK --interval=15s --timeout=5s --start-period=20s --retries=3 \
  CMD ["python", "-c", "import urllib.request as u; u.urlopen('http://127.0.0.1:8000/readyz', timeout=4)"]
# Longer than the graceful end needs: docker stop --time 130.
STOPSIGNAL SIGTERM
CMD ["gunicorn", "--config", "python:service.gunicorn_conf"]
