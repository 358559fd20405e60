using System.Collections;
using System.Globalization;
using System.Text;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Logging;
using QRCoder;

namespace KitMesh.Hub.Pages;

/// <summary>Lets a keeper invite a browser from the page "Kit": a picture (ISO/IEC 18004) with a link that works once.</summary>
/// <remarks>The same codes as <c>kitmesh enrol code --page</c>, with the same bounds: a browser becomes a reader, or a reader that also writes as its node.</remarks>
internal sealed class PhoneInvite(CodeBook codes, RightsBook rights, HubIdentity identity, BoundAddress bound, HubOptions options, ILogger<PhoneInvite> log)
{
    private const int Minutes = 10;

    /// <summary>Makes an invitation.</summary>
    /// <param name="form">The form: the phone's name and whether it may write.</param>
    /// <param name="caller">Who asks.</param>
    public InviteMade Make(IFormCollection form, Caller caller)
    {
        if (!caller.HasAny(MeshRoles.Keeper))
        {
            return InviteMade.Refused("This needs the role keeper.");
        }

        if (!NodeId.TryParse(form["node"].ToString().Trim(), out NodeId node))
        {
            return InviteMade.Refused("Name the phone with small letters, digits and hyphens, at most 63.");
        }

        if (node == options.Node || rights.Revoked.ContainsKey(node))
        {
            return InviteMade.Refused(node == options.Node ? $"{node} is this hub's own name." : $"The trust in {node} was ended, so its name is not given out again. Choose a new one, such as {node}-2.");
        }

        MeshRoles roles = form["writes"] == "yes" ? MeshRoles.Reader | MeshRoles.Writer : MeshRoles.Reader;
        if (!identity.MayIssue(roles) || codes.Mint(node, roles, TimeSpan.FromMinutes(Minutes), forPage: true) is not { } code)
        {
            return InviteMade.Refused($"{CodeBook.MaxWaiting} codes wait already. Wait until some are used or too old.");
        }

        EnrolLog.CodeMade(log, node, caller.Node);
        string address = HubAddresses.Of(options.Listen).Select(one => one.ToString()).FirstOrDefault() ?? options.Listen.Host;
        string link = new UriBuilder(options.Listen) { Host = address, Port = bound.Port > 0 ? bound.Port : options.Listen.Port, Path = "/join", Query = "code=" + code.Reveal() }.Uri.ToString();
        return new InviteMade(node.Value, link, code.Reveal(), Path(link, out int size), size, "");
    }

    /// <summary>The dark modules as one path, a unit each, with the quiet zone around.</summary>
    private static string Path(string text, out int size)
    {
        using var generator = new QRCodeGenerator();
        using QRCodeData data = generator.CreateQrCode(text, QRCodeGenerator.ECCLevel.M);
        List<BitArray> rows = data.ModuleMatrix;
        size = rows.Count;
        var path = new StringBuilder();
        for (int y = 0; y < rows.Count; y++)
        {
            for (int x = 0; x < rows[y].Length; x++)
            {
                if (rows[y][x])
                {
                    path.Append(CultureInfo.InvariantCulture, $"M{x} {y}h1v1h-1z");
                }
            }
        }

        return path.ToString();
    }
}
