using System.Collections;
using System.Text;
using QRCoder;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary>A QR picture (ISO/IEC 18004) out of half blocks, two modules a character, with its quiet zone.</summary>
internal static class QrPicture
{
    /// <summary>Draws it.</summary>
    /// <param name="text">What it says.</param>
    /// <param name="darkOnLight">For a terminal with a light background.</param>
    public static string Draw(string text, bool darkOnLight)
    {
        using var generator = new QRCodeGenerator();
        using QRCodeData data = generator.CreateQrCode(text, QRCodeGenerator.ECCLevel.M);
        List<BitArray> rows = data.ModuleMatrix;
        var picture = new StringBuilder();
        for (int y = 0; y < rows.Count; y += 2)
        {
            for (int x = 0; x < rows[y].Length; x++)
            {
                bool upper = rows[y][x] == darkOnLight;
                bool lower = (y + 1 < rows.Count && rows[y + 1][x]) == darkOnLight;
                picture.Append((upper, lower) switch { (true, true) => '█', (true, false) => '▀', (false, true) => '▄', _ => ' ' });
            }

            picture.Append('\n');
        }

        return picture.ToString();
    }
}
