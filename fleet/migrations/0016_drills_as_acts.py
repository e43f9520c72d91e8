import django.db.models.deletion
import uuid
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0015_visits_and_plans'),
    ]

    operations = [
        migrations.CreateModel(
            name='DrawnMesh',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.PositiveIntegerField(help_text='As which it was drawn, from 1.')),
            ],
            options={
                'ordering': ['draw', 'place'],
            },
        ),
        migrations.CreateModel(
            name='DrillDraw',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('month', models.DateField(help_text='Its first day, on the clock of the firm.', unique=True)),
                ('seed', models.CharField(max_length=64)),
                ('lots', models.JSONField()),
                ('count', models.PositiveIntegerField(help_text='How many were drawn.')),
                ('drawn_at', models.DateTimeField()),
                ('by', models.CharField(max_length=120)),
            ],
            options={
                'ordering': ['-month'],
            },
        ),
        migrations.CreateModel(
            name='Rehearsal',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('uid', models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ('kind', models.CharField(choices=[('paper', 'Paper walk-through'), ('bench', 'Bench write'), ('live', 'Live swap')], max_length=6)),
                ('begun_at', models.DateTimeField()),
                ('by', models.CharField(max_length=120)),
                ('own_pair_only', models.BooleanField(default=False)),
                ('spot', models.CharField(blank=True, max_length=200)),
                ('setup', models.CharField(blank=True, choices=[('shielded', 'In a shielded box'), ('disconnected', 'Disconnected: no antenna, a dummy load in its place'), ('on_air', 'On air')], max_length=12)),
                ('nothing_radiates', models.BooleanField(default=False)),
                ('written_at', models.DateTimeField(blank=True, help_text='When the document was given out.', null=True)),
                ('range_first', models.PositiveBigIntegerField(blank=True, null=True)),
                ('range_last', models.PositiveBigIntegerField(blank=True, null=True)),
                ('range_until', models.DateTimeField(blank=True, null=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('end', models.CharField(blank=True, choices=[('passed', 'Passed'), ('failed', 'Failed'), ('aborted', 'Aborted')], max_length=8)),
                ('note', models.CharField(blank=True, help_text='What failed, or why it was aborted.', max_length=300)),
            ],
            options={
                'ordering': ['-begun_at', '-id'],
            },
        ),
        migrations.CreateModel(
            name='RehearsalStep',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('step', models.CharField(choices=[('fetch', 'Fetch'), ('find', 'Find what is wrong'), ('copy', 'Choose the copy'), ('write', 'Write the spare'), ('start', 'Start it and read it out'), ('compare', 'Compare'), ('walk', 'Walk through')], max_length=8)),
                ('began_at', models.DateTimeField()),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('problem', models.CharField(blank=True, max_length=300)),
                ('is_cut_short', models.BooleanField(default=False, help_text='The drill was ended in the midst of it: its minutes measure nothing.')),
            ],
            options={
                'ordering': ['rehearsal', 'began_at', 'id'],
            },
        ),
        migrations.AddField(
            model_name='drill',
            name='own_pair_only',
            field=models.BooleanField(default=False, help_text="On another build than the plan's spare has: says nothing of this home."),
        ),
        migrations.AddField(
            model_name='drawnmesh',
            name='mesh',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='drawn', to='fleet.mesh'),
        ),
        migrations.AddConstraint(
            model_name='drilldraw',
            constraint=models.CheckConstraint(condition=models.Q(('seed', ''), _negated=True), name='draw_keeps_its_seed'),
        ),
        migrations.AddField(
            model_name='drawnmesh',
            name='draw',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='drawn', to='fleet.drilldraw'),
        ),
        migrations.AddField(
            model_name='rehearsal',
            name='drill',
            field=models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='rehearsal', to='fleet.drill'),
        ),
        migrations.AddField(
            model_name='rehearsal',
            name='mesh',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='rehearsals', to='fleet.mesh'),
        ),
        migrations.AddField(
            model_name='rehearsal',
            name='place',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.place'),
        ),
        migrations.AddField(
            model_name='rehearsal',
            name='radio',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='rehearsals', to='fleet.radio'),
        ),
        migrations.AddField(
            model_name='rehearsal',
            name='snapshot',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='rehearsals', to='fleet.snapshot'),
        ),
        migrations.AddField(
            model_name='rehearsal',
            name='source_release',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.firmwarerelease'),
        ),
        migrations.AddField(
            model_name='rehearsal',
            name='target_release',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.firmwarerelease'),
        ),
        migrations.AddField(
            model_name='rehearsalstep',
            name='rehearsal',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='steps', to='fleet.rehearsal'),
        ),
        migrations.AddConstraint(
            model_name='drawnmesh',
            constraint=models.UniqueConstraint(fields=('draw', 'mesh'), name='mesh_drawn_once_a_month'),
        ),
        migrations.AddConstraint(
            model_name='rehearsal',
            constraint=models.CheckConstraint(condition=models.Q(('kind__in', ('paper', 'bench'))), name='rehearsal_is_paper_or_bench'),
        ),
        migrations.AddConstraint(
            model_name='rehearsal',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('end', ''), ('ended_at__isnull', True)), models.Q(('end__in', ['passed', 'failed', 'aborted']), ('ended_at__isnull', False)), _connector='OR'), name='rehearsal_end_has_its_moment'),
        ),
        migrations.AddConstraint(
            model_name='rehearsal',
            constraint=models.CheckConstraint(condition=models.Q(('kind', 'paper'), models.Q(('nothing_radiates', True), ('radio__isnull', False), ('setup__in', ('shielded', 'disconnected'))), _connector='OR'), name='rehearsal_on_a_bench_radiates_nothing'),
        ),
        migrations.AddConstraint(
            model_name='rehearsal',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('range_first__isnull', True), ('range_last__isnull', True), ('written_at__isnull', True)), models.Q(('range_first__isnull', False), ('range_last__gte', models.F('range_first')), ('range_last__isnull', False), ('written_at__isnull', False)), _connector='OR'), name='rehearsal_range_is_whole'),
        ),
        migrations.AddConstraint(
            model_name='rehearsal',
            constraint=models.UniqueConstraint(condition=models.Q(('ended_at__isnull', True)), fields=('mesh',), name='one_rehearsal_a_mesh_at_a_time'),
        ),
        migrations.AddConstraint(
            model_name='rehearsal',
            constraint=models.UniqueConstraint(condition=models.Q(('ended_at__isnull', True)), fields=('radio',), name='one_rehearsal_a_radio_at_a_time'),
        ),
        migrations.AddConstraint(
            model_name='rehearsalstep',
            constraint=models.UniqueConstraint(fields=('rehearsal', 'step'), name='rehearsal_step_once'),
        ),
        migrations.AddConstraint(
            model_name='rehearsalstep',
            constraint=models.CheckConstraint(condition=models.Q(('ended_at__isnull', True), ('ended_at__gte', models.F('began_at')), _connector='OR'), name='rehearsal_step_ends_after_it_began'),
        ),
    ]
