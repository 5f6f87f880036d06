# One image for web, worker and scheduler; docker-compose.yml says which runs what.
FROM python:3.14-slim-bookworm AS build
COPY requirements.txt /
RUN python -m venv /venv && /venv/bin/pip install --no-cache-dir --require-hashes -r /requirements.txt

FROM python:3.14-slim-bookworm
# The distribution's own point release says which version; its security updates must come in.
# hadolint ignore=DL3008
RUN apt-get update \
    && apt-get install -y --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core \
    && rm -rf /var/lib/apt/lists/* \
    && useradd --system --uid 10001 --home-dir /srv/var overmantel \
    && install -d -o overmantel /srv/var /srv/static
COPY --from=build /venv /venv
WORKDIR /srv/app
COPY manage.py ./
COPY studio studio
COPY placements placements
COPY reports reports
COPY templates templates
ENV PATH=/venv/bin:$PATH \
    PYTHONDONTWRITEBYTECODE=1 \
    PYTHONUNBUFFERED=1 \
    OVERMANTEL_ENV=production \
    VAR_DIR=/srv/var \
    STATIC_ROOT=/srv/static \
    PROMETHEUS_MULTIPROC_DIR=/tmp
# Throw-away values: collecting static files reaches nothing, but production refuses to start without them.
RUN SECRET_KEY=only-for-collecting-static-files-0123456789-0123456789 BASE_URL=https://build.example \
    REDIS_URL=redis://build.example python manage.py collectstatic --noinput && chown -R overmantel /srv/static
# The account overmantel
USER 10001
EXPOSE 8000
VOLUME /srv/var
CMD ["gunicorn", "studio.wsgi", "--config", "studio/gunicorn.py"]
