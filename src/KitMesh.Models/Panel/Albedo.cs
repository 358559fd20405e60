namespace KitMesh.Models.Panel;

/// <summary>Share of light that the ground throws back.</summary>
public static class Albedo
{
    /// <summary>Albedo of a surface by its common name, or NaN for one that is not in the table.</summary>
    /// <param name="surface">"snow", "fresh snow", "soil", "grass", "sand", "sea", "concrete" or "asphalt".</param>
    /// <remarks>Source: pvlib's table of surface albedos. Old snow with dust lies lower. Check: rows albedo_table.</remarks>
    public static double Of(string surface) => surface switch
    {
        "snow" => 0.65,
        "fresh snow" => 0.75,
        "soil" => 0.17,
        "grass" => 0.20,
        "sand" => 0.40,
        "sea" => 0.06,
        "concrete" => 0.30,
        "asphalt" => 0.12,
        _ => double.NaN,
    };
}
