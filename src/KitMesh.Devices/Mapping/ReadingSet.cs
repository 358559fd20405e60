using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.Mapping;

/// <summary>Gathers the numbers of one poll and makes one report of each thing they are about.</summary>
/// <remarks>What was not set stays null: a reading holds what the device said, never a guess. Odd values pass; models leave them out.</remarks>
internal sealed class ReadingSet
{
    private readonly SortedDictionary<(ReadingTarget Target, KitId Subject, string Sensor), Values> _values =
        new(Comparer<(ReadingTarget Target, KitId Subject, string Sensor)>.Create(Compare));

    /// <summary>How the numbers came to be.</summary>
    public ReadingSource Source { get; init; } = ReadingSource.Measured;

    /// <summary>Sets a field, in the unit of <see cref="ReadingField"/>. Temperatures of a battery add up to a list of probes.</summary>
    /// <param name="target">Kind of thing.</param>
    /// <param name="subject">Its kit name.</param>
    /// <param name="field">The field.</param>
    /// <param name="value">The number.</param>
    /// <param name="sensor">The thermometer's own name; tells several at one thing apart.</param>
    public void Set(ReadingTarget target, KitId subject, ReadingField field, double value, string sensor = "")
    {
        (ReadingTarget Target, KitId Subject, string Sensor) key = (target, subject, target == ReadingTarget.Thermometer ? sensor : "");
        if (!_values.TryGetValue(key, out Values? values))
        {
            _values[key] = values = new Values();
        }

        if (target == ReadingTarget.Battery && field == ReadingField.Temperature)
        {
            values.Probes.Add(new Celsius(value));
        }
        else
        {
            values.Fields[field] = value;
        }
    }

    /// <summary>Sets what a load is doing.</summary>
    public void SetActivity(KitId load, ChargeActivity activity)
    {
        (ReadingTarget Target, KitId Subject, string Sensor) key = (ReadingTarget.Load, load, "");
        if (!_values.TryGetValue(key, out Values? values))
        {
            _values[key] = values = new Values();
        }

        values.Activity = activity;
    }

    /// <summary>Marks a battery's voltage as rested.</summary>
    public void SetRested(KitId battery)
    {
        if (_values.TryGetValue((ReadingTarget.Battery, battery, ""), out Values? values))
        {
            values.Rested = true;
        }
    }

    /// <summary>One report of each thing, in a steady order.</summary>
    public IEnumerable<ReportBody> Bodies()
    {
        foreach (((ReadingTarget target, KitId subject, string sensor), Values v) in _values)
        {
            yield return target switch
            {
                ReadingTarget.Battery => new BatteryReading(
                    subject, Quantity<Volts>(v, ReadingField.Volts), Quantity<Amperes>(v, ReadingField.Amperes),
                    Quantity<Watts>(v, ReadingField.Watts), Charge(v), v.Probes.ToValueList(),
                    Quantity<Volts>(v, ReadingField.LowestCell), Quantity<Volts>(v, ReadingField.HighestCell), v.Rested, Source),
                ReadingTarget.Panel => new PanelReading(
                    subject, Quantity<Volts>(v, ReadingField.Volts), Quantity<Amperes>(v, ReadingField.Amperes),
                    Quantity<Watts>(v, ReadingField.Watts), Quantity<WattHours>(v, ReadingField.Energy), v.Get(ReadingField.Hours), Source),
                ReadingTarget.Load => new LoadReading(
                    subject, v.Activity, Charge(v), Quantity<Watts>(v, ReadingField.Watts), Quantity<WattHours>(v, ReadingField.Energy),
                    v.Get(ReadingField.Temperature) is { } t ? new Celsius(t) : null, Source),
                ReadingTarget.Thermometer => new TemperatureReading(subject, sensor, new Celsius(v.Fields[ReadingField.Temperature]), Source),
                _ => throw new InvalidOperationException("Not a kind of thing."),
            };
        }
    }

    private static T? Quantity<T>(Values values, ReadingField field)
        where T : struct, IQuantity<T> => values.Get(field) is { } number ? T.Of(number) : null;

    private static StateOfCharge? Charge(Values values) => values.Get(ReadingField.Charge) is { } fraction ? new StateOfCharge(fraction) : null;

    private static int Compare((ReadingTarget Target, KitId Subject, string Sensor) a, (ReadingTarget Target, KitId Subject, string Sensor) b) =>
        a.Target.CompareTo(b.Target) is var byTarget and not 0 ? byTarget
        : a.Subject.CompareTo(b.Subject) is var bySubject and not 0 ? bySubject
        : string.CompareOrdinal(a.Sensor, b.Sensor);

    private sealed class Values
    {
        public Dictionary<ReadingField, double> Fields { get; } = [];

        public List<Celsius> Probes { get; } = [];

        public ChargeActivity Activity { get; set; }

        public bool Rested { get; set; }

        public double? Get(ReadingField field) => Fields.TryGetValue(field, out double value) ? value : null;
    }
}
