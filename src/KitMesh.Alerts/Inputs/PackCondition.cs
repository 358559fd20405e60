using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Alerts.Inputs;

/// <summary>What is known of a pack or bank now, with what is declared of it.</summary>
/// <param name="Declared">The pack; for a bank its packs taken as one, see <see cref="BankAsPack"/>.</param>
/// <param name="Reading">The newest values, from however many devices; see <see cref="PackPicture"/>.</param>
/// <param name="At">When the newest of them was taken.</param>
/// <param name="Box">The box it rides in, where known.</param>
/// <param name="Ambient">Temperature outside the box, where known.</param>
/// <param name="NextCharging">When charging can begin next (sunrise, for example); null when not known.</param>
/// <param name="WithoutProbeSince">Since when no thermometer on the cells was heard; null while one is.</param>
/// <param name="ProbesUnchangedSince">Since when every probe has said exactly the same over many readings; null when they move.</param>
public sealed record PackCondition(
    Pack Declared,
    BatteryReading Reading,
    Instant At,
    Box? Box = null,
    Celsius? Ambient = null,
    Instant? NextCharging = null,
    Instant? WithoutProbeSince = null,
    Instant? ProbesUnchangedSince = null);
