using System.Collections.Immutable;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.State;

/// <summary>The state fingerprint: SHA-256 over the canonical encoding of the state.</summary>
/// <remarks>
/// Counts of readings are left out and readings enter only as the latest of each thing, so that thinning old readings
/// out changes nothing. Digest lines and told days are not written out: like copies and clips they are in the hash of all lasting facts.
/// The words why a report cannot be read are left out too: they differ between versions.
/// </remarks>
public static class StateFingerprint
{
    /// <summary>The fingerprint.</summary>
    /// <param name="state">The state.</param>
    public static Sha256Hash Of(TripState state) => Sha256Hash.Of(Encode(state));

    /// <summary>The canonical encoding.</summary>
    /// <param name="state">The state.</param>
    public static byte[] Encode(TripState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        var writer = new CanonicalWriter();
        writer.Text("kitmesh state");
        writer.Count((int)TripState.FoldVersion);
        Latest(writer, state.Declared, key =>
        {
            writer.Byte((byte)key.Kind);
            writer.Text(key.Id.Value);
        });
        Latest(writer, state.Batteries, key => writer.Text(key.Value));
        Latest(writer, state.Temperatures, key =>
        {
            writer.Text(key.Subject.Value);
            writer.Text(key.Sensor);
        });
        Latest(writer, state.Panels, key => writer.Text(key.Value));
        Latest(writer, state.Loads, key => writer.Text(key.Value));
        Latest(writer, state.Drives, key => writer.Text(key.Value));
        Latest(writer, state.Cards, key => writer.Text(key.Value));
        Latest(writer, state.Agents, key => writer.Text(key.Value));
        Latest(writer, state.AgentAlerts, key =>
        {
            writer.Text(key.Node.Value);
            writer.Text(key.Rule);
            writer.Text(key.Subject.Value);
        });
        Latest(writer, state.Faults, key =>
        {
            writer.Text(key.Node.Value);
            writer.Text(key.Reader);
            writer.Text(key.Subject.Value);
        });
        Rest(writer, state);
        return writer.Written.ToArray();
    }

    private static void Latest<TKey, TBody>(CanonicalWriter writer, ImmutableSortedDictionary<TKey, Stamped<TBody>> facts, Action<TKey> writeKey)
        where TKey : notnull
        where TBody : ReportBody
    {
        writer.Many(facts, entry =>
        {
            writeKey(entry.Key);
            writer.Stamp(entry.Value.Stamp);
            CanonicalBody.Write(writer, entry.Value.Body);
        });
    }

    private static void Rest(CanonicalWriter writer, TripState state)
    {
        writer.Many(state.Placements, entry =>
        {
            writer.Text(entry.Key.Value);
            writer.Many(entry.Value, placement =>
            {
                writer.Time(placement.Since);
                writer.Maybe(placement.Into);
                writer.Text(placement.Author);
                writer.Stamp(placement.Stamp);
            });
        });
        writer.Many(state.Notes, entry =>
        {
            writer.Stamp(entry.Key);
            CanonicalBody.Write(writer, entry.Value);
        });
        writer.Many(state.Forks, entry =>
        {
            writer.Key(entry.Key);
            writer.Many(entry.Value, writer.Bits);
        });
        writer.Many([.. state.Counts.Where(count => !IsReading(count.Key))], count =>
        {
            writer.Byte((byte)count.Key);
            writer.Int(count.Value);
        });
        writer.Bits(state.Facts.High);
        writer.Bits(state.Facts.Low);
    }

    private static bool IsReading(ReportKind kind) =>
        kind is ReportKind.BatteryReading or ReportKind.TemperatureReading or ReportKind.PanelReading or ReportKind.LoadReading;
}
