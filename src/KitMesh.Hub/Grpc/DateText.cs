using NodaTime;
using NodaTime.Text;

namespace KitMesh.Hub.Grpc;

/// <summary>Civil days as ISO 8601 text.</summary>
internal static class DateText
{
    public static string Of(LocalDate day) => LocalDatePattern.Iso.Format(day);
}
