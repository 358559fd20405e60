namespace KitMesh.Outlook.Energy;

/// <summary>The usual cautions, said wherever packs, heaters or wiring are advised on.</summary>
internal static class SafetyWords
{
    internal const string Packs =
        "Lithium packs can burn. Charging below the cell maker's limit ruins cells and can start a fire later. "
        + "The maker's data sheet, local rules and licensed people decide; KitMesh never advises past a limit.";

    internal const string Heat =
        "Warm slowly and all through: cores lag behind the probe and heater pads make hot spots. Never warm packs over a flame or on a stove.";
}
